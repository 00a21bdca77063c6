"""The air around the unit, and the faults that change what the unit meets."""

from dataclasses import dataclass


@dataclass(slots=True, kw_only=True)
class Surroundings:
    """What the plant meets from outside; changed by the rig as the job goes on.

    Temperatures in K. ``outdoor_fan`` and ``indoor_air`` are shares of the sound
    value, ``bottleneck`` a blockage's area over the nominal metering area (infinite
    when there is none), ``foreign_pa`` the pressure of air in the condenser.
    """

    outdoor_k: float
    db_k: float
    wb_k: float
    outdoor_fan: float = 1.0
    indoor_air: float = 1.0
    bottleneck: float = float("inf")
    foreign_pa: float = 0.0


@dataclass(slots=True, kw_only=True)
class House:
    """Return air that drifts as the delivered cooling changes.

    A house that was in balance with ``start_w`` settles ``drop_k`` cooler for every
    nominal capacity delivered on top, with time constant ``lag_s``.
    """

    db_k: float
    wb_k: float
    start_w: float
    nominal_w: float
    drop_k: float
    lag_s: float
    cooled_k: float = 0.0

    def step(self, dt_s: float, cooling_w: float, air: Surroundings) -> None:
        """Let the house follow the cooling for a moment."""
        end_k = self.drop_k * (cooling_w - self.start_w) / self.nominal_w
        self.cooled_k += (end_k - self.cooled_k) * dt_s / self.lag_s
        air.db_k = self.db_k - self.cooled_k
        # Return air keeps its moisture for a while, so the wet bulb moves less.
        air.wb_k = self.wb_k - 0.6 * self.cooled_k

"""What is in a cylinder: liquid and vapor, pressure, largest fill, when it is full.

A cylinder must never be full of liquid: warmed further, the liquid has nowhere to go and
the pressure rises by several bar a kelvin. So the largest fill leaves room at 25 degC,
and how warm the cylinder may get follows from how much is in it.

References
----------
Title 49 of the United States Code of Federal Regulations, sections 173.304, 173.304a;
Guideline K of the Air-Conditioning, Heating, and Refrigeration Institute (2004), as
reported by the trade press. See ``handling.toml``.
"""

from contextlib import suppress
from dataclasses import dataclass, replace

from companion.knowledge.draw_down import draw_down
from companion.knowledge.equilibrium import (
    Equilibrium,
    EquilibriumError,
    Saturated,
    mean_molar_mass,
    mole_fractions,
)
from companion.knowledge.fixed_volume import Filling, LiquidFull, mass_of, settle
from companion.knowledge.handling import Handling

WALK_K = 2.0
WARMER_K = 0.5
_CLOSE_K = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderState:
    """What is in a cylinder.

    Attributes
    ----------
    liquid_kg, vapor_kg
        How its mass is shared.
    level
        Share of the volume that is liquid, 0 to 1.
    pressure_pa
        Absolute standing pressure.
    largest_fill_kg
        By the rule of ``handling.toml``.
    full_at_rule_k, full_now_k
        Temperature [K] at which the largest fill, and what is in it now, would fill the
        cylinder with liquid; None where the critical point comes first.
    draw_as_liquid_kg
        Mass that can still be drawn before the liquid is gone.
    """

    liquid_kg: float
    vapor_kg: float
    level: float
    pressure_pa: float
    largest_fill_kg: float
    full_at_rule_k: float | None
    full_now_k: float | None
    draw_as_liquid_kg: float

    @property
    def overfilled(self) -> bool:
        """Whether more is in it than the rule allows."""
        return self.liquid_kg + self.vapor_kg > self.largest_fill_kg * (1 + 1e-9)


def cylinder_state(
    equilibrium: Equilibrium, filling: Filling, handling: Handling
) -> CylinderState | LiquidFull:
    """Work out what is in a cylinder.

    Parameters
    ----------
    equilibrium
        Saturated states of the refrigerant's components.
    filling
        Net mass, volume and temperature.
    handling
        The fill rule.

    Returns
    -------
    CylinderState or LiquidFull
        The latter if so much does not fit at this temperature.

    Raises
    ------
    EquilibriumError
        If there is no liquid at this temperature, or at that of the fill rule.
    """
    found = settle(
        equilibrium, filling.moles(equilibrium), filling.volume_m3, filling.t_k
    )
    if isinstance(found, LiquidFull):
        return found
    largest = largest_fill_kg(equilibrium, filling, handling)
    at_rule = replace(filling, mass_kg=largest, t_k=handling.fill_reference.k)
    drawn = draw_down(equilibrium, filling, "liquid")
    gone = None if isinstance(drawn, LiquidFull) else drawn.liquid_gone
    return CylinderState(
        liquid_kg=mass_of(equilibrium, found.liquid),
        vapor_kg=mass_of(equilibrium, found.vapor),
        level=found.level,
        pressure_pa=found.pressure_pa,
        largest_fill_kg=largest,
        full_at_rule_k=liquid_full_k(equilibrium, at_rule),
        full_now_k=liquid_full_k(equilibrium, filling),
        draw_as_liquid_kg=(gone or 0.0) * filling.mass_kg,
    )


def largest_fill_kg(
    equilibrium: Equilibrium, filling: Filling, handling: Handling
) -> float:
    """Give the largest fill [kg]: a share of the water capacity, times the gravity.

    For a few refrigerants with a low critical point, such as R-125, that would fill the
    cylinder with liquid at or below the temperature at which it may not be full; so the
    fill is no more than that liquid, half a kelvin warmer, would be.

    Raises
    ------
    EquilibriumError
        If there is no liquid at the temperature of the rule.
    """
    density = _liquid_density(equilibrium, filling, handling.fill_reference.k)
    largest = handling.fill_share * density
    with suppress(EquilibriumError):  # above its critical point nothing is liquid
        warm_k = handling.not_liquid_full.k + WARMER_K
        largest = min(largest, _liquid_density(equilibrium, filling, warm_k))
    return largest * filling.volume_m3


def liquid_full_k(equilibrium: Equilibrium, filling: Filling) -> float | None:
    """Find the temperature [K] at which a filling is all liquid.

    Returns
    -------
    float or None
        None where the liquid never fills the volume: the critical point comes first.
    """
    wanted = filling.mass_kg / filling.volume_m3
    low = filling.t_k
    try:
        while _liquid_density(equilibrium, filling, low) < wanted:
            low -= WALK_K
        high = low + WALK_K
        while _liquid_density(equilibrium, filling, high) > wanted:
            low, high = high, high + WALK_K
        while high - low > _CLOSE_K:
            middle = (low + high) / 2
            if _liquid_density(equilibrium, filling, middle) > wanted:
                low = middle
            else:
                high = middle
    except EquilibriumError:
        return None
    return (low + high) / 2


def _liquid_density(equilibrium: Equilibrium, filling: Filling, t_k: float) -> float:
    """Give the density [kg/m3] of the label's liquid at its bubble point."""
    make_up = mole_fractions(filling.mass_pct, equilibrium.molar_masses)
    state: Saturated = equilibrium.saturated(0, make_up, t_k)
    return state.liquid_density * mean_molar_mass(make_up, equilibrium.molar_masses)

"""What a changed make-up does to the dew and bubble point at the working pressures.

Charging compares a line temperature with a saturation temperature from the label's
table. If the blend in the circuit has drifted, the true dew point at the suction
pressure and the true bubble point at the liquid pressure are elsewhere: a true dew point
above the table's makes the superheat look larger than it is, by that much; a true bubble
point above the table's makes the subcooling look smaller than it is.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from companion.knowledge.equilibrium import (
    Equilibrium,
    EquilibriumError,
    Quality,
    mole_fractions,
)
from companion.knowledge.quantities import Temperature, TemperatureDifference

_CLOSE = 1e-8  # of ln P
_MAX_ROUNDS = 20
_SLOPE_PER_K = 0.03  # of ln P, to begin with


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingPoint:
    """Where a circuit works: the pressures follow from the label's make-up.

    Attributes
    ----------
    suction_dew, liquid_bubble
        Dew point of the suction pressure and bubble point of the liquid pressure.
    """

    suction_dew: Temperature
    liquid_bubble: Temperature


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingShift:
    """True saturation temperature less the table's, at the working pressures."""

    dew: TemperatureDifference
    bubble: TemperatureDifference

    @property
    def largest(self) -> TemperatureDifference:
        """The larger of the two, without its sign."""
        return TemperatureDifference(max(abs(self.dew.k), abs(self.bubble.k)))


def working_shift(
    equilibrium: Equilibrium,
    label_pct: Sequence[float],
    true_pct: Sequence[float],
    point: WorkingPoint,
) -> WorkingShift | None:
    """Work out what a changed make-up does at the working pressures.

    Parameters
    ----------
    equilibrium
        Saturated states of the blend's components.
    label_pct, true_pct
        Make-up by the label and in the circuit [mass %].
    point
        Where the circuit works.

    Returns
    -------
    WorkingShift or None
        None where a working point lies above the critical point.
    """
    label = mole_fractions(label_pct, equilibrium.molar_masses)
    true = mole_fractions(true_pct, equilibrium.molar_masses)
    try:
        return WorkingShift(
            dew=_shift(equilibrium, 1, label, true, point.suction_dew),
            bubble=_shift(equilibrium, 0, label, true, point.liquid_bubble),
        )
    except EquilibriumError:
        return None


def _shift(
    equilibrium: Equilibrium,
    quality: Quality,
    label: tuple[float, ...],
    true: tuple[float, ...],
    at: Temperature,
) -> TemperatureDifference:
    pressure = equilibrium.saturated(quality, label, at.k).pressure_pa
    t_k, slope = at.k, _SLOPE_PER_K
    found = math.log(equilibrium.saturated(quality, true, t_k).pressure_pa)
    for _ in range(_MAX_ROUNDS):
        miss = math.log(pressure) - found
        if abs(miss) < _CLOSE:
            break
        step = miss / slope
        new = math.log(equilibrium.saturated(quality, true, t_k + step).pressure_pa)
        slope, found, t_k = (new - found) / step, new, t_k + step
    return TemperatureDifference(t_k - at.k)

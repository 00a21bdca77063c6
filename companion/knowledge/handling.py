"""Cylinders, leaks and gauges: the values that the sums about them rest on.

Composition tolerances are from memory (see ``handling.toml``): they mark an answer, and
no decision rests on them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from companion.knowledge.quantities import (
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.tables import Citation
from companion.knowledge.working_shift import WorkingPoint

Key = Literal[
    "suction_dew",
    "liquid_bubble",
    "leak_shift_max",
    "standstill_level",
    "fill_share",
    "fill_reference",
    "not_liquid_full",
    "cylinder_hottest",
    "water_density",
    "gauge_hottest",
    "gauge_standard_max",
    "tolerance",
]
"""The values that have a citation."""

ROUNDING_PCT = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """How far a blend's make-up may be off as sold [mass %], by component.

    Attributes
    ----------
    plus, minus
        Largest excess and largest lack, in the order of the make-up.
    checked
        Whether sums with these numbers agree with others made from the print.
    """

    plus: tuple[float, ...]
    minus: tuple[float, ...]
    checked: bool

    def holds(self, label_pct: Sequence[float], found_pct: Sequence[float]) -> bool:
        """Tell whether a make-up [mass %] is within it."""
        rows = zip(label_pct, found_pct, self.plus, self.minus, strict=True)
        return all(
            -minus - ROUNDING_PCT <= found - label <= plus + ROUNDING_PCT
            for label, found, plus, minus in rows
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """Everything of ``handling.toml``.

    Attributes
    ----------
    working_point
        Where a unit works, to tell what a drifted make-up does.
    leak_shift_max
        Largest shift of dew or bubble point with which a top-up is still advised.
    standstill_level
        Share of a unit's inner volume that is liquid at rest, 0 to 1.
    fill_share, fill_reference
        Largest fill of a cylinder: share of its water capacity, times the specific
        gravity of the liquid at that temperature.
    not_liquid_full
        At or below this the liquid may not fill a cylinder.
    cylinder_hottest
        What to keep a full cylinder below.
    water_density
        Of the water in a stamped water capacity [kg/m3].
    gauge_hottest, gauge_standard_max
        The saturation a high-side gauge must show, and the top of an ordinary one.
    tolerances
        By designation; those of the standard, from memory.
    citations
        Source, locator and mark by value.
    """

    working_point: WorkingPoint
    leak_shift_max: TemperatureDifference
    standstill_level: float
    fill_share: float
    fill_reference: Temperature
    not_liquid_full: Temperature
    cylinder_hottest: Temperature
    water_density: float
    gauge_hottest: Temperature
    gauge_standard_max: PressureDifference
    tolerances: Mapping[str, Tolerance]
    citations: Mapping[Key, Citation]

"""What a leak leaves in a unit at rest, and whether it can be topped up.

While a unit runs, what leaks is about the blend itself. At rest liquid and vapor lie
apart: a leak above the liquid takes vapor, and what stays grows poorer in the volatile
components, one below it takes liquid, which changes little. A top-up with fresh blend
brings the make-up part of the way back. The rule: a top-up as liquid is advised while
the true dew and bubble points at the working pressures stay near those of the label's
table; beyond that the readings would mislead, so recover, evacuate and weigh in. The
limit and its basis are in ``handling.toml``.
"""

from dataclasses import dataclass
from typing import Literal

from companion.knowledge.draw_down import draw_down
from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import Equilibrium
from companion.knowledge.fixed_volume import Filling, LiquidFull
from companion.knowledge.handling import Handling
from companion.knowledge.working_shift import WorkingShift, working_shift

Advice = Literal["top-up", "recover"]
AIR_PA = 101325.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakOutcome:
    """What is in the unit, and what to do.

    Attributes
    ----------
    left, after_top_up
        Make-up [mass %] of all that is left, and after the lost mass is made up for with
        fresh blend drawn as liquid.
    shift_now, shift_after
        True dew and bubble point less the table's, before and after the top-up; None
        where a working point lies above the critical point.
    pressure_pa
        Absolute standstill pressure before the top-up.
    advice, reason
        What to do, and why, in one sentence.
    """

    left: tuple[float, ...]
    after_top_up: tuple[float, ...]
    shift_now: WorkingShift | None
    shift_after: WorkingShift | None
    pressure_pa: float
    advice: Advice
    reason: str


def leak(
    equilibrium: Equilibrium,
    filling: Filling,
    lost: float,
    draw: Draw,
    handling: Handling,
) -> LeakOutcome | LiquidFull:
    """Work out a leak from a unit at rest that held the label's make-up.

    Parameters
    ----------
    equilibrium
        Saturated states of the blend's components.
    filling
        The charge before the leak, in the unit's inner volume.
    lost
        Share of the charge that has left, 0 to less than 1.
    draw
        What left: liquid or vapor.
    handling
        Working point and limit.

    Raises
    ------
    ValueError
        If nothing or more than all of the charge is left.
    EquilibriumError
        If there is no liquid at this temperature at all.
    """
    if not 0 <= lost < 1:
        raise ValueError(f"a loss of {lost} is outside 0 to less than 1")
    found = draw_down(equilibrium, filling, draw, lost)
    if isinstance(found, LiquidFull):
        return found
    left = found.end.left
    if left is None:
        raise ValueError(f"nothing is left after a loss of {lost}")
    label = filling.mass_pct
    after = tuple(
        (1 - lost) * stays + lost * fresh
        for stays, fresh in zip(left, label, strict=True)
    )
    point = handling.working_point
    shift_after = working_shift(equilibrium, label, after, point)
    advice, reason = _advise(shift_after, found.end.pressure_pa, handling)
    return LeakOutcome(
        left=left,
        after_top_up=after,
        shift_now=working_shift(equilibrium, label, left, point),
        shift_after=shift_after,
        pressure_pa=found.end.pressure_pa,
        advice=advice,
        reason=reason,
    )


def _advise(
    shift: WorkingShift | None, pressure_pa: float, handling: Handling
) -> tuple[Advice, str]:
    limit = handling.leak_shift_max
    if pressure_pa <= AIR_PA:
        return "recover", (
            "the circuit has come down to the pressure of the air, so air may have "
            "entered; recover, evacuate and weigh in"
        )
    if shift is None:
        return "recover", (
            "what the changed make-up does to the readings cannot be worked out; "
            "recover, evacuate and weigh in"
        )
    size = shift.largest
    if size > limit:
        return "recover", (
            f"even after a top-up the make-up moves dew and bubble point by up to "
            f"{size.f:.1f} F, more than {limit.f:.1f} F, so the readings would mislead; "
            "recover, evacuate and weigh in"
        )
    return "top-up", (
        f"after a top-up the make-up moves dew and bubble point by no more than "
        f"{size.f:.1f} F, which is within {limit.f:.1f} F; repair the leak, then top up "
        "as liquid"
    )

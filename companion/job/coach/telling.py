"""What the coach says: before an opening, and when asked how it stands."""

from typing import Literal

from companion.job.amounts import Amount, amount
from companion.job.charge_errors import short_by
from companion.job.coach.flowing import seen_to_flow
from companion.job.coach.learning import rise_pa
from companion.job.coach.planning import left
from companion.job.coach.priors import by_superheat
from companion.job.coach.sizing import is_vapor
from companion.job.facts import OpenCalled
from companion.job.opening_plans import STEP_SI, STEP_US
from companion.job.pulses import close_due
from companion.job.state import Job, Open, Opening
from companion.job.turn import Turn
from companion.knowledge.quantities import GaugePressure, Mass

STOP_RISE_PA = GaugePressure.from_psi(5).pa
"""A slow turn stops when the needle has moved this far: "plus five". Common practice,
no source."""
STOP_SHARE = 0.6
"""Where the limit is nearer, it stops at this share of the way. Our own value."""
LATER_RISE_PA, LATER_SHARE = GaugePressure.from_psi(4).pa, 0.5
"""Later slow turns stop a little sooner: the needle goes on after the hand has
stopped, and by then there is more time. Our own values."""


def say_opening(turn: Turn, plan: OpenCalled) -> None:
    """Say how far to open, the limit, and what is still to come."""
    if plan.ceiling is None or plan.base is None:
        return
    vapor = is_vapor(turn.job)
    if vapor and fading(turn.job):
        turn.say("cylinder-cold")
    if plan.hint == "slow":
        turn.say(
            "ready-vapor-slow" if vapor else "ready-slow",
            number=plan.opening,
            hint=plan.hint,
            turn_to=turn_to(plan, turn.job.units),
            top=plan.ceiling,
            open_seconds=plan.planned_s,
        )
        return
    coming = left(turn.job, turn.know)
    if coming is not None and coming.openings > 1:
        say_left(turn)
    turn.say(
        "ready-vapor" if vapor else "ready-pulse",
        number=plan.opening,
        hint=plan.hint,
        top=plan.ceiling,
        open_seconds=plan.planned_s,
    )


FADED, LONG_ENOUGH_S = 0.6, 20.0
"""A rise this share of an earlier one, in openings at least so long [s], is a flow that
fades. Our own values."""


def fading(job: Job) -> bool:
    """Tell whether vapor flows less than it did: drawing it chills the cylinder."""
    long = [pulse for pulse in job.pulses if pulse.open_s >= LONG_ENOUGH_S]
    if len(long) < 2 or long[-1] is not job.pulses[-1] or long[-1].hint == "less":
        return False
    rises = [rise for pulse in long if (rise := rise_pa(pulse)) is not None]
    return len(rises) > 1 and rises[-1] <= FADED * max(rises[:-1])


def turn_to(plan: OpenCalled, units: Literal["us", "si"]) -> Amount | None:
    """Give the pressure at which a slow turn stops."""
    if plan.base is None or plan.ceiling is None:
        return None
    room = plan.ceiling.si - plan.base.si
    rise = min(STOP_RISE_PA, STOP_SHARE * room)
    if plan.opening > 1:
        rise = min(LATER_RISE_PA, LATER_SHARE * room)
    step = (STEP_US if units == "us" else STEP_SI).pa
    return Amount(
        of="gauge-pressure", si=round((plan.base.si + rise) / step - 1e-6) * step
    )


def _about(job: Job, kg: float) -> Mass:
    """Round a mass that is only expected to what is worth saying."""
    step = Mass.from_oz(1) if job.units == "us" else Mass(0.01)
    return Mass(max(1, round(kg / step.kg)) * step.kg)


def say_left(turn: Turn) -> None:
    """Say how many openings and how much refrigerant are still to come, about.

    Nothing of that while nothing is seen to flow: there is nothing to go by.
    """
    if turn.job.pulses and not seen_to_flow(turn.job):
        return
    coming = left(turn.job, turn.know)
    if coming is None or coming.openings == 0:
        return
    turn.say(
        "coming-at-least" if coming.at_least else "coming",
        openings=coming.openings,
        mass=amount(_about(turn.job, coming.kg)),
    )


def say_standing(turn: Turn) -> bool:
    """Say how the valve or the charge stands; False where there is nothing to say."""
    valve = turn.job.valve
    if isinstance(valve, Opening | Open):
        return _say_open(turn, valve)
    return _say_charge(turn)


def _say_open(turn: Turn, valve: Opening | Open) -> bool:
    plan = valve.plan if isinstance(valve, Open) else valve
    seconds = max(0, round(close_due(valve) - turn.at))
    if plan.ceiling is None:
        turn.say("status-weighing", left_s=seconds, stop=plan.stop_weight)
    else:
        turn.say("status-open", left_s=seconds, top=plan.ceiling)
    return True


def _say_charge(turn: Turn) -> bool:
    job: Job = turn.job
    if not job.rounds or job.charging_ended is not None or short_by(job) is None:
        return False
    last = job.rounds[-1]
    reading = last.superheat if by_superheat(job) else last.subcooling
    turn.say(
        "status-charge",
        stop_by="superheat" if by_superheat(job) else "subcooling",
        reading=reading,
        target=last.target,
        openings=len(job.pulses),
    )
    say_left(turn)
    return True

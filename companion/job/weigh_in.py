"""Weighing in: the charge goes in as liquid until the scale says enough.

The unit is off and under vacuum; liquid is drawn in through the liquid-line port. The
close call comes ahead of the weight, by what flows in while the hand reacts, and by
what the hose holds, for the unit draws that in when the hose comes off. Where the
pressures meet before the weight is reached, the rest goes in as short throttled liquid
openings with the unit running in cooling (an equipment maker's manual prescribes this
for R-410A).
"""

import math

from companion.job import read
from companion.job.amounts import amount
from companion.job.asking import question
from companion.job.facts import OpenCalled
from companion.job.hose import content
from companion.job.items import AskReady, EndCharging, Item, JudgeRound, StartWait
from companion.job.know import Know
from companion.job.opening_plans import (
    CLOSE_WORD_S,
    FIRST_LIQUID_S,
    MOST_OPENINGS,
    SHARE,
    SHORTEST_S,
    SILENCE_LIQUID_S,
    ceiling,
    hard_ceiling,
)
from companion.job.questions import READINGS
from companion.job.state import Job
from companion.knowledge.quantities import Mass

NEAR = Mass.from_oz(1.0)
"""The weight counts as reached within this. Our own value: twice a scale's 0.5 oz."""
OVER = Mass.from_oz(2.0)
"""More than this beyond the charge is too much, and is said. Our own value."""
STALLED = Mass.from_oz(2.0)
"""Less than this in one whole opening means that the flow has stopped. Our own value."""
LONGEST_S = 120.0
"""One opening of a weigh-in, before the weight is asked again [s]. Our own value."""
SILENCE_S = 20.0
"""An opening is closed after this long without a weight [s]. Our own value."""


def target(job: Job) -> Mass | None:
    """Give the charge to weigh in: the nameplate's plus the line's, or None."""
    plate, adder = read.mass(job, "factory-charge"), read.mass(job, "charge-adder")
    return None if plate is None else plate + (adder or Mass(0))


def weight(job: Job, opening: int) -> Mass | None:
    """Give the cylinder's weight after an opening; 0 is before the first."""
    return read.mass(job, f"cylinder-weight#{opening}")


def remaining(job: Job) -> Mass | None:
    """Give what is still to be weighed in by the latest weight, or None."""
    goal, before, now = target(job), weight(job, 0), weight(job, len(job.pulses))
    if goal is None or before is None or now is None:
        return None
    return goal - (before - now)


def next_item(job: Job, know: Know) -> Item | None:
    """Give what the weigh-in needs next."""
    if job.rounds:
        proved = job.rounds[-1].verdict == "done"
        return EndCharging(outcome="weighed-in" if proved else "weighed-in-unproven")
    asked = question(job, "cylinder-weight", f"#{len(job.pulses)}") or _ask_hose(job)
    if asked is not None:
        return asked
    left = remaining(job)
    if left is None:
        return EndCharging(outcome="no-weight")
    if left.kg < -OVER.kg:
        return EndCharging(outcome="over-weight")
    left = left - content(job, know)
    if left.kg <= NEAR.kg + 1e-6:
        return _prove(job, know)
    number = len(job.pulses) + 1
    if number > MOST_OPENINGS:
        return EndCharging(outcome="too-many-openings")
    if _stalled(job) or read.option(job, "unit-running") == "yes":
        return _finish_running(job, know, number, left)
    return AskReady(plan=_plan(job, number, left), key=f"ready#{number}")


def _ask_hose(job: Job) -> Item | None:
    """Ask about the hose once, where there is a charge to weigh in."""
    known = remaining(job) is not None and not job.pulses
    return question(job, "long-hose") if known else None


def _stalled(job: Job) -> bool:
    done = len(job.pulses)
    before, now = weight(job, done - 1), weight(job, done)
    return (
        done > 0 and before is not None and now is not None and before - now < STALLED
    )


def _plan(job: Job, number: int, left: Mass) -> OpenCalled:
    now = weight(job, len(job.pulses)) or Mass(0)
    return OpenCalled(
        at=job.at,
        opening=number,
        planned_s=LONGEST_S - CLOSE_WORD_S,
        limit_s=LONGEST_S,
        silence_s=SILENCE_S,
        base=None,
        ceiling=None,
        stop_weight=amount(_said(job, now - left)),
    )


def _said(job: Job, stop: Mass) -> Mass:
    """Round a weight to close at up to what is said of it."""
    step = Mass.from_oz(1) if job.units == "us" else Mass(0.01)
    return Mass(math.ceil(stop.kg / step.kg - 1e-6) * step.kg)


def _finish_running(job: Job, know: Know, number: int, left: Mass) -> Item:
    """Bring the rest in with the unit running: short openings, settling between."""
    running = question(job, "low-side-hose") or question(job, "unit-running")
    if running is not None:
        return running
    if read.option(job, "unit-running") != "yes":
        return EndCharging(outcome="weigh-in-short")
    limits = know.knowledge.limits
    if not job.settled:
        return StartWait(purpose="settle", seconds=limits.settle_near.s)
    suffix = f"#{number}"
    base_asked = question(job, "suction-pressure", suffix)
    if base_asked is not None:
        return base_asked
    base = read.pressure(job, "suction-pressure" + suffix)
    if base is None:
        return EndCharging(outcome="weigh-in-short")
    now = weight(job, len(job.pulses)) or Mass(0)
    longest = limits.pulse_open_time.s - CLOSE_WORD_S
    plan = OpenCalled(
        at=job.at,
        opening=number,
        planned_s=min(longest, _seconds(job, left)),
        limit_s=limits.pulse_open_time.s,
        silence_s=SILENCE_LIQUID_S,
        base=amount(base),
        ceiling=amount(ceiling(job, know, base)),
        stop_weight=amount(_said(job, now - left)),
        # The last openings were with the unit off: their place of the hand is no guide.
        hint="slow",
        hard=amount(hard_ceiling(job, know, base)),
    )
    return AskReady(plan=plan, key="ready" + suffix)


def _seconds(job: Job, left: Mass) -> float:
    """Size an opening by weight: what the last one of this kind brought in a second."""
    done = len(job.pulses)
    if done == 0 or job.pulses[-1].base is None:
        return FIRST_LIQUID_S
    before, now = weight(job, done - 1), weight(job, done)
    last = max(SHORTEST_S, job.pulses[-1].open_s)
    if before is None or now is None or before <= now:
        return 1.5 * last
    return max(SHORTEST_S, min(2 * last, SHARE * left.kg / ((before - now).kg / last)))


def _prove(job: Job, know: Know) -> Item:
    asked = (
        question(job, "cylinder-valve-shut")
        or question(job, "low-side-hose")
        or question(job, "unit-running")
    )
    if asked is not None:
        return asked
    if read.option(job, "unit-running") != "yes":
        return EndCharging(outcome="weighed-in-unproven")
    if not job.final_settled:
        return StartWait(purpose="final", seconds=know.knowledge.limits.settle_final.s)
    return _readings(job)


def _readings(job: Job) -> Item:
    weather = ["outdoor-temperature"]
    if read.fixed_orifice(job):
        weather.append("return-wet-bulb")
    suffix = f"@{len(job.rounds)}"
    for key, end in (
        *((key, "") for key in weather),
        *((key, suffix) for key in READINGS),
    ):
        asked = question(job, key, end)
        if asked is not None:
            return asked
    return JudgeRound(purpose="final")

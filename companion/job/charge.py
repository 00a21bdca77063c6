"""Phase: readings, openings and settling, until the target is met or says stop.

A running unit is charged in rounds: read, judge, open for a short time, close, settle,
read again. No opening is planned from readings older than the latest opening or
interruption. When the target is met the cylinder valve is shut, the unit runs its full
settling time, and only readings after that count as proof.
"""

from companion.job import weigh_in
from companion.job.asking import question
from companion.job.charge_errors import short_by
from companion.job.facts import RoundKind
from companion.job.items import (
    AskReady,
    EndCharging,
    Item,
    JudgeRound,
    StartWait,
)
from companion.job.know import Know
from companion.job.opening_plans import MOST_OPENINGS, plan_opening
from companion.job.questions import READINGS
from companion.job.state import Job


def next_item(job: Job, know: Know) -> Item | None:
    """Give what charging needs next, or None when it has ended."""
    if job.charging_ended is not None:
        return None
    if job.method is not None and job.method.method == "weigh-in":
        return weigh_in.next_item(job, know)
    if not job.rounds:
        if job.interruptions and not job.settled:
            return StartWait(purpose="settle", seconds=_settling(job, know))
        return _round(job, "baseline", READINGS)
    if job.judged != (len(job.pulses), job.interruptions):
        if not job.settled:
            return StartWait(purpose="settle", seconds=_settling(job, know))
        return _round(job, "check", _check_readings(job))
    return _after_verdict(job, know)


def _after_verdict(job: Job, know: Know) -> Item | None:
    last = job.rounds[-1]
    match last.verdict:
        case "add":
            reopen = _reopen(job) if last.purpose == "final" else None
            return reopen or _ready(job, know)
        case "done" if last.purpose == "check":
            return _prove(job, know)
        case "done":
            outcome = "target" if job.pulses else "already-full"
            return EndCharging(outcome=outcome)
        case "over" | "stop" | "unverified":
            return EndCharging(outcome=last.finding)


def _ready(job: Job, know: Know) -> Item:
    number = len(job.pulses) + 1
    if number > MOST_OPENINGS:
        return EndCharging(outcome="too-many-openings")
    return AskReady(plan=plan_opening(job, know), key=f"ready#{number}")


def _reopen(job: Job) -> Item | None:
    return question(job, "cylinder-valve-open", f"@{len(job.rounds)}")


def _prove(job: Job, know: Know) -> Item:
    shut = question(job, "cylinder-valve-shut", f"@{len(job.rounds)}")
    if shut is not None:
        return shut
    if not job.final_settled:
        seconds = know.knowledge.limits.settle_final.s
        return StartWait(purpose="final", seconds=seconds)
    return _round(job, "final", READINGS)


def _round(job: Job, purpose: RoundKind, readings: tuple[str, ...]) -> Item:
    for key in readings:
        item = question(job, key, f"@{len(job.rounds)}")
        if item is not None:
            return item
    return JudgeRound(purpose=purpose)


def _check_readings(job: Job) -> tuple[str, ...]:
    if job.method is not None and job.method.stop_by == "superheat":
        return ("suction-pressure", "suction-line-temperature")
    return READINGS


def _settling(job: Job, know: Know) -> float:
    limits = know.knowledge.limits
    short = short_by(job)
    by_superheat = job.method is not None and job.method.stop_by == "superheat"
    near = (
        limits.halve_within_superheat
        if by_superheat
        else limits.halve_within_subcooling
    )
    is_near = short is not None and short <= near.k
    return limits.settle_near.s if is_near else limits.settle_far.s

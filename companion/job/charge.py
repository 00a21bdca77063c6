"""Phase: readings, openings and settling, until the target is met or says stop.

A running unit is charged in rounds: read, judge, open for a short time, close, settle,
read again. No opening is planned from readings older than the latest opening or
interruption. When the target is met the cylinder valve is shut, the unit runs its full
settling time, and only readings after that count as proof.
"""

from companion.job import read, weigh_in
from companion.job.asking import question
from companion.job.charge_errors import short_by
from companion.job.coach import guards, moments, passing, settling
from companion.job.coach.flowing import look_at_flow
from companion.job.coach.planning import plan_opening
from companion.job.coach.priors import by_superheat
from companion.job.facts import RoundKind, WaitPurpose
from companion.job.finish import drawn
from companion.job.items import (
    AskQuestion,
    AskReady,
    EndCharging,
    Item,
    JudgeRound,
    MakeSafe,
    StartWait,
)
from companion.job.know import Know
from companion.job.opening_plans import MOST_OPENINGS
from companion.job.questions import QUESTIONS, READINGS, base_key
from companion.job.state import Job
from companion.job.suction_watch import moved_on
from companion.job.verify import short_now, telling

LEAST_WAIT_S = 15.0
"""A wait is no shorter than this [s]."""
STALE_S = 300.0
"""No opening begins from readings older than this [s]: weather and house move on. Our
own value."""
SHUT_FIRST = ("overcharged", "creep")
"""Findings after which the cylinder's valve is shut before anything else: the charging
valve may pass."""
LOOKS = ("second-look", "still-moving", "near-target", "no-rise")
"""Findings after which the next look is read twice: small changes count."""


def next_item(job: Job, know: Know) -> Item | None:
    """Give what charging needs next, or None when it has ended."""
    if job.charging_ended is not None:
        return None
    if job.method is not None and job.method.method == "weigh-in":
        return weigh_in.next_item(job, know)
    if not job.rounds:
        if job.interruptions and not job.settled:
            return _settle(job, know)
        return _round(job, know, "baseline", READINGS)
    if job.judged != (len(job.pulses), job.interruptions):
        if not job.settled:
            return _settle(job, know)
        return _round(job, know, "check", _check_readings(job))
    return _after_verdict(job, know)


def stale(job: Job, at: float) -> bool:
    """Tell whether the readings the next opening rests on are old at this moment."""
    if not job.rounds or job.rounds[-1].verdict != "add":
        return False
    return at - job.rounds[-1].at > STALE_S or moved_on(job)


def _after_verdict(job: Job, know: Know) -> Item | None:
    last = job.rounds[-1]
    match last.verdict:
        case "again":
            return _again(job, know, last.finding)
        case "add" if job.passing and not job.settled:
            return _wait(job, "settle", settling.LOOK_S)
        case "add" if job.passing or stale(job, job.at):
            again: RoundKind = "check" if job.pulses else "baseline"
            return _round(
                job, know, again, _check_readings(job) if job.pulses else READINGS
            )
        case "add":
            return _reopen(job) or _check_flow(job) or _ready(job, know)
        case "done" if last.purpose == "check":
            return _prove(job, know)
        case "done":
            outcome = "target" if job.pulses else "already-full"
            return EndCharging(outcome=outcome)
        case "over" | "stop" | "unverified":
            return EndCharging(outcome=last.finding)


def _again(job: Job, know: Know, finding: str) -> Item:
    """Read again: at once, or after more time, the cylinder shut where it may feed."""
    shut = _shut_cylinder(job) if finding in SHUT_FIRST else None
    if shut is not None:
        return shut
    if not job.settled:
        return _wait(job, "settle", settling.extra_s(job, know))
    purpose: RoundKind = "final" if job.final_settled else "check"
    whole = finding == "no-rise"
    return _round(job, know, purpose, READINGS if whole else _check_readings(job))


def _ready(job: Job, know: Know) -> Item:
    number = len(job.pulses) + 1
    if number > MOST_OPENINGS:
        return EndCharging(outcome="too-many-openings")
    if not guards.room_to_open(job, know):
        return EndCharging(outcome="flood-back")
    gone, plate = drawn(job), read.mass(job, "factory-charge")
    if gone is not None and plate is not None and gone.kg > plate.kg:
        return EndCharging(outcome="plate-charge-gone")
    return AskReady(plan=plan_opening(job, know), key=f"ready#{number}")


def _check_flow(job: Job) -> Item | None:
    """Have cylinder, hose and port looked at after openings that brought nothing."""
    if not job.pulses or not look_at_flow(job, short_by(job) or 0.0):
        return None
    return question(job, "flow-checked", f"@{len(job.rounds)}")


def _settle(job: Job, know: Know) -> Item:
    seconds = settling.settle_s(job, know)
    if job.pulses and not job.rounds:
        seconds = know.knowledge.limits.settle_near.s
    return _wait(job, "settle", seconds)


def _wait(job: Job, purpose: WaitPurpose, seconds: float) -> Item:
    """Start a wait; before a long one the cylinder valve is shut too."""
    may_pass = job.passing or any(each.finding == "creep" for each in job.rounds)
    if job.pulses and (seconds > settling.LONG_S or may_pass):
        shut = _shut_cylinder(job)
        if shut is not None:
            return shut
    return StartWait(purpose=purpose, seconds=max(LEAST_WAIT_S, round(seconds)))


def _shut_cylinder(job: Job) -> Item | None:
    if not job.pulses or cylinder_shut(job):
        return None
    return question(job, "cylinder-valve-shut", f"@{len(job.rounds)}")


def cylinder_shut(job: Job) -> bool:
    """Tell whether the cylinder's own valve was shut last, by the technician's word."""
    shut = _latest(job, "cylinder-valve-shut")
    return shut is not None and shut >= (_latest(job, "cylinder-valve-open") or 0)


def _latest(job: Job, key: str) -> int | None:
    """Give the latest round in which a cylinder valve question was answered yes."""
    rounds = [
        int(each.partition("@")[2])
        for each in job.answers
        if base_key(each) == key and "@" in each and read.option(job, each) == "yes"
    ]
    return max(rounds, default=None)


def _reopen(job: Job) -> Item | None:
    if not cylinder_shut(job):
        return None
    return question(job, "cylinder-valve-open", f"@{len(job.rounds)}")


def _prove(job: Job, know: Know) -> Item:
    shut = question(job, "cylinder-valve-shut", f"@{len(job.rounds)}")
    if shut is not None and not cylinder_shut(job):
        return shut
    if not job.final_settled:
        seconds = settling.proof_s(job, know)
        if job.pulses:
            seconds -= settling.since_closed(job)
        return StartWait(purpose="final", seconds=max(LEAST_WAIT_S, round(seconds)))
    return _round(job, know, "final", READINGS)


def _round(job: Job, know: Know, purpose: RoundKind, readings: tuple[str, ...]) -> Item:
    number = len(job.rounds)
    weighed = _weight(job)
    if weighed is not None:
        return weighed
    complete = all(moments.values(job, item, number) for item in readings)
    odd = frozenset[str]()
    if complete and purpose != "baseline":
        odd = _odd(job, know, readings)
    key = moments.due(job, readings, purpose, odd)
    if key is not None:
        return AskQuestion(question=QUESTIONS[base_key(key)], key=key)
    again = _weight_again(job, know)
    if again is not None:
        return again
    kept = read.option(job, f"fully-shut@{number}")
    if kept == "no":
        return MakeSafe()
    if purpose == "check" and kept is None and guards.not_fallen(job):
        asked = question(job, "fully-shut", f"@{number}")
        if asked is not None:
            return asked
    return JudgeRound(purpose=purpose)


def _odd(job: Job, know: Know, readings: tuple[str, ...]) -> frozenset[str]:
    """Give what is read twice: odd readings, and near the target what it rests on."""
    odd = moments.stepped(job, readings)
    short = short_now(job, know)
    looking = bool(job.rounds) and job.rounds[-1].finding in LOOKS
    near = short is not None and short <= settling.near_band(job, know).k
    if near or looking or telling(job, know):
        odd |= frozenset(moments.target_pair(job))
    return odd


def _weight(job: Job) -> Item | None:
    """Ask for the cylinder's weight after each opening, where there is a scale."""
    if not moments.scale_used(job) or not job.pulses:
        return None
    return question(job, "cylinder-weight", f"#{len(job.pulses)}")


def _weight_again(job: Job, know: Know) -> Item | None:
    """Weigh once more at the end of the round where much has left the cylinder."""
    if not moments.scale_used(job) or not passing.much_left(job, know):
        return None
    return question(job, "cylinder-weight", f"#{len(job.pulses)}b")


def _check_readings(job: Job) -> tuple[str, ...]:
    """Give the readings of a check; the liquid pressure tells of a climbing head."""
    if by_superheat(job):
        return READINGS[:3]
    return READINGS

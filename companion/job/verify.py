"""Judge a round of readings: superheat and subcooling against the target.

Dew for superheat, bubble for subcooling, always. The target band used here is the
installer's tolerance of the published procedure, narrowed to aim inside it.
"""

from dataclasses import dataclass

from companion.job import read
from companion.job.amounts import Amount, amount
from companion.job.coach import guards, moments, passing, settling
from companion.job.coach.priors import by_superheat
from companion.job.diagnosing import find
from companion.job.disputes import errors_of
from companion.job.facts import RoundJudged, RoundKind, Verdict
from companion.job.know import Know
from companion.job.method import superheat_target
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job
from companion.job.turn import Turn
from companion.knowledge.findings import Finding
from companion.knowledge.properties import (
    OutsideTable,
    Subcooling,
    Superheat,
    subcooling,
    superheat,
)
from companion.knowledge.quantities import GaugePressure, TemperatureDifference
from companion.knowledge.targets import Target

CREPT = (
    "It went on filling with the valve shut, so the valve passes. Shut the cylinder, "
    "and look at the charge again after a while."
)
TOO_MUCH = (
    "It holds too much now. Recover some before the hoses come off, into a recovery "
    "cylinder with room left."
)
_F = TemperatureDifference.from_f
DONE_VALVE, DONE_ORIFICE = _F(0.8), _F(1.0)
"""Short by no more than this, nothing more is added: less than an opening can be sure
of. Our own values."""
PROVED_VALVE, PROVED_ORIFICE = _F(1.8), _F(2.2)
"""The proof may be this much short before it is opened again. Our own values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What a round of readings comes to; a part is absent where it was not read."""

    superheat: Superheat | None
    subcooling: Subcooling | None
    outside: str


def judge_round(turn: Turn, purpose: RoundKind) -> None:
    """Judge the readings just taken, remember the verdict and say it."""
    measured = measure(turn.job, turn.know, len(turn.job.rounds))
    verdict, finding, reason = _verdict(turn.job, turn.know, measured, purpose)
    judged = RoundJudged(
        at=turn.at,
        round=len(turn.job.rounds),
        purpose=purpose,
        superheat=_amount(measured.superheat),
        subcooling=_amount(measured.subcooling),
        uncertainty=_spread(measured, turn.job),
        target=_target(turn.job, turn.know),
        verdict=verdict,
        finding=finding,
        reason=reason,
    )
    turn.remember(judged)
    _say_result(turn, judged)
    match verdict:
        case "again":
            turn.say("verdict-again", finding=finding)
        case "add":
            turn.say("verdict-add")
        case "done":
            turn.say("verdict-done" if purpose == "check" else "verdict-proved")
        case "over" | "stop" | "unverified":
            turn.say("verdict-end", reason=reason)


def _say_result(turn: Turn, judged: RoundJudged) -> None:
    both = judged.superheat is not None and judged.subcooling is not None
    if both:
        turn.say("judged", superheat=judged.superheat, subcooling=judged.subcooling)
    elif judged.superheat is not None:
        turn.say("judged-superheat", superheat=judged.superheat)
    elif judged.subcooling is not None:
        turn.say("judged-subcooling", subcooling=judged.subcooling)
    if judged.target is not None:
        turn.say(
            "judged-target",
            of=_stop_by(turn.job),
            target=judged.target,
            spread=judged.uncertainty,
        )


def measure(job: Job, know: Know, number: int) -> Measured:
    """Work out superheat and subcooling of a round."""
    refrigerant = unit_refrigerant(job, know)
    suction = moments.suction(job, number)
    suction_line = moments.line(job, "suction-line-temperature", number)
    liquid_pa = moments.taken(job, "liquid-pressure", number)
    liquid = None if liquid_pa is None else GaugePressure(liquid_pa)
    liquid_line = moments.line(job, "liquid-line-temperature", number)
    properties, errors = know.knowledge.properties, errors_of(job, know, f"@{number}")
    outside = ""
    sh: Superheat | OutsideTable | None = None
    sc: Subcooling | OutsideTable | None = None
    if refrigerant is not None and suction is not None and suction_line is not None:
        sh = superheat(
            properties, refrigerant, suction, suction_line, read.ambient(job), errors
        )
    if refrigerant is not None and liquid is not None and liquid_line is not None:
        sc = subcooling(
            properties, refrigerant, liquid, liquid_line, read.ambient(job), errors
        )
    for each in (sh, sc):
        if isinstance(each, OutsideTable):
            outside = each.reason
    return Measured(
        superheat=sh if isinstance(sh, Superheat) else None,
        subcooling=sc if isinstance(sc, Subcooling) else None,
        outside=outside,
    )


def _amount(found: Superheat | Subcooling | None) -> Amount | None:
    return None if found is None else amount(found.value)


def _stop_by(job: Job) -> str:
    """Tell what the target is of: a weigh-in is proved by what suits its metering."""
    stop_by = "" if job.method is None else job.method.stop_by
    if stop_by == "weight":
        return "superheat" if read.fixed_orifice(job) else "subcooling"
    return stop_by


def _spread(measured: Measured, job: Job) -> Amount | None:
    by_subcooling = _stop_by(job) == "subcooling"
    found = measured.subcooling if by_subcooling else measured.superheat
    return None if found is None else amount(found.uncertainty)


def _target(job: Job, know: Know) -> Amount | None:
    if job.method is None:
        return None
    if job.method.stop_by != "weight":
        return job.method.target
    return after_weigh_in_target(job, know)


Judged = tuple[Verdict, str, str]
"""Verdict, finding and reason."""


def _verdict(job: Job, know: Know, measured: Measured, purpose: RoundKind) -> Judged:
    if job.method is not None and job.method.stop_by == "weight":
        if measured.outside:
            return "stop", "outside-table", f"{measured.outside}."
        return _after_weigh_in(job, know, measured)
    if measured.outside:
        return _if_twice(job, "stop", "outside-table", f"{measured.outside}.")
    missing = _missing(job, measured)
    finding = find(job, know, measured.superheat, measured.subcooling)
    if missing is None:
        return "unverified", "no-target", "There is no target to compare with."
    if purpose == "baseline":
        return _at_the_start(job, finding, missing)
    if finding is not None and finding.stops:
        return _if_twice(job, "stop", finding.id, _sentence(finding.reason))
    alarm = guards.alarm(job, know, measured.superheat, missing)
    if alarm is not None:
        return _if_twice(job, "stop", alarm.id, alarm.reason)
    return _against_target(job, know, measured, purpose)


def _if_twice(job: Job, verdict: Verdict, finding: str, reason: str) -> Judged:
    """Let a stop count only if the round before, with no opening since, found it too."""
    last = job.rounds[-1] if job.rounds else None
    same = last is not None and (last.verdict, last.finding) == ("again", finding)
    if same and last is not None and _same_moment(job):
        return verdict, finding, reason
    return "again", finding, reason


def _same_moment(job: Job) -> bool:
    return job.judged == (len(job.pulses), job.interruptions)


def _after_weigh_in(job: Job, know: Know, measured: Measured) -> Judged:
    """Compare with the target: the weight decides, and readings never ask for more."""
    target = after_weigh_in_target(job, know)
    by_superheat = read.fixed_orifice(job)
    found = measured.superheat if by_superheat else measured.subcooling
    limits = know.knowledge.limits
    band = limits.superheat_tolerance if by_superheat else limits.subcooling_tolerance
    if target is None or found is None:
        return "unverified", "no-target", "There is no target to prove it by."
    if abs(found.value.k - target.si) <= band.k:
        return "done", "weighed-in", ""
    reason = (
        "The weight is in, but the readings are off the target. Look for another cause "
        "before you change the charge."
    )
    return "unverified", "weighed-in-off", reason


def _at_the_start(job: Job, finding: Finding | None, missing: float) -> Judged:
    """Nothing is added unless the readings are sure that it is short."""
    if finding is None:
        return "unverified", "undecided", "The readings are not complete."
    reason = _sentence(finding.reason)
    match finding.id:
        case "undercharged":
            return "add", finding.id, reason
        case "at-target" if _clearly_short(job, missing):
            return "add", "little-short", "It is a little short, inside the tolerance."
        case "at-target":
            return "done", finding.id, reason
        case "overcharged":
            return "over", finding.id, reason
        case _:
            return "stop", finding.id, reason


def _clearly_short(job: Job, missing: float) -> bool:
    """Tell whether a unit inside its tolerance is still short enough to be topped up.

    Two sets of readings agree on it; the proof at the end asks for no less.
    """
    return missing > (PROVED_ORIFICE if by_superheat(job) else PROVED_VALVE).k


def _tolerance(job: Job, know: Know) -> TemperatureDifference:
    limits = know.knowledge.limits
    if by_superheat(job):
        return limits.superheat_tolerance
    return limits.subcooling_tolerance


def _against_target(
    job: Job, know: Know, measured: Measured, purpose: RoundKind
) -> Judged:
    missing = _missing(job, measured) or 0.0
    over = missing < -_tolerance(job, know).k
    if purpose == "check" and (job.passing or passing.weight_fell(job)):
        # The sensor or the scale has seen it.
        return _if_twice(job, "stop", "creep", f"{CREPT} {TOO_MUCH}" if over else CREPT)
    if over:
        return _if_twice(job, "over", "overcharged", TOO_MUCH)
    latest = missing
    missing = moments.agreed(job, missing) if _same_moment(job) else missing
    done, proved = DONE_VALVE, PROVED_VALVE
    if by_superheat(job):
        done, proved = DONE_ORIFICE, PROVED_ORIFICE
    if purpose == "final":
        return _proof(job, latest, missing, proved)
    again = _not_at_rest(job, know, measured, latest)
    if again is not None:
        return "again", again, CREPT if again == "creep" else ""
    if missing > done.k:
        return "add", "undercharged", "It is still short."
    if settling.since_closed(job) < settling.PROVING_S - settling.LOOK_S / 2:
        return "again", "near-target", ""
    return "done", "at-target", ""


def _may_pass(job: Job, measured: Measured, missing: float) -> bool:
    """Tell whether a unit fills on from look to look, as one whose valve passes does.

    A slow unit may look so, too. So it is said once, the cylinder is shut in every wait
    from then on, and the job goes on.
    """
    if not job.pulses or not _same_moment(job):
        return False
    known = any(judged.finding == "creep" for judged in job.rounds)
    return not known and passing.fills_on(job, missing, _heat_k(measured))


def _proof(
    job: Job, latest: float, missing: float, proved: TemperatureDifference
) -> Judged:
    if settling.crept(job, latest):
        return "stop", "creep", CREPT
    if missing > proved.k:
        return "add", "undercharged", "It is still short."
    return "done", "at-target", ""


def _heat_k(measured: Measured) -> float | None:
    return None if measured.superheat is None else measured.superheat.value.k


def telling(job: Job, know: Know) -> bool:
    """Tell whether the round under way is to be looked at twice; see ``settling``."""
    measured = measure(job, know, len(job.rounds))
    missing = _missing(job, measured)
    return missing is not None and settling.look_again(
        job, know, missing, _heat_k(measured)
    )


def _not_at_rest(
    job: Job, know: Know, measured: Measured, missing: float
) -> str | None:
    """Give why the readings may not have settled, or None where they count."""
    fresh = not _same_moment(job)
    if fresh and guards.not_fallen(job):
        return "not-fallen"
    if _may_pass(job, measured, missing):
        return "creep"
    if not fresh and settling.moving(job, missing):
        return "still-moving"
    if fresh and settling.look_again(job, know, missing, _heat_k(measured)):
        return "second-look"
    return None


def _sentence(reason: str) -> str:
    return f"{reason[0].upper()}{reason[1:]}." if reason else ""


def short_now(job: Job, know: Know) -> float | None:
    """Give how far the round under way is from the target so far [K], if it can be told."""
    return _missing(job, measure(job, know, len(job.rounds)))


def _missing(job: Job, measured: Measured) -> float | None:
    """Give how far this round is from the target [K]; above zero is short of charge."""
    if job.method is None or job.method.target is None:
        return None
    target = job.method.target.si
    if job.method.stop_by == "superheat":
        return (
            None if measured.superheat is None else measured.superheat.value.k - target
        )
    return None if measured.subcooling is None else target - measured.subcooling.value.k


def after_weigh_in_target(job: Job, know: Know) -> Amount | None:
    """Give what the readings after a weigh-in are compared with, if anything is known."""
    if read.fixed_orifice(job):
        found = superheat_target(job, know)
        return amount(found.value) if isinstance(found, Target) else None
    plate = read.difference(job, "target-subcooling")
    return None if plate is None else amount(plate)

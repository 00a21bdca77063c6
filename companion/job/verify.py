"""Judge a round of readings: superheat and subcooling against the target.

Dew for superheat, bubble for subcooling, always. The target band used here is the
installer's tolerance of the published procedure, narrowed to aim inside it.
"""

from dataclasses import dataclass

from companion.job import read
from companion.job.amounts import Amount, amount
from companion.job.charge_errors import round_short_by
from companion.job.diagnosing import find
from companion.job.disputes import errors_of
from companion.job.facts import RoundJudged, RoundKind, Verdict
from companion.job.know import Know
from companion.job.method import superheat_target
from companion.job.prepare import unit_refrigerant
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
from companion.knowledge.quantities import PressureDifference, TemperatureDifference
from companion.knowledge.targets import Target

AIM_SHARE = 0.4
"""Charging aims at this share of the installer's tolerance, so that the final
readings have room to move. Our own value."""
NO_EFFECT_PULSES = 3
"""After this many openings in a row that changed nothing, something else is wrong.
Our own value."""
NO_EFFECT_OPEN_S = 20.0
"""Shorter openings than this in sum prove nothing. Our own value."""
NO_EFFECT = TemperatureDifference.from_f(1.0)
"""Less change than this over such openings is none. Our own value."""


RISE = PressureDifference.from_psi(1.5)
"""Less than this above the start is no rise: a gauge's own reading error. Our own
value."""


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
    suffix = f"@{number}"
    suction = read.pressure(job, "suction-pressure" + suffix)
    suction_line = read.temperature(job, "suction-line-temperature" + suffix)
    liquid = read.pressure(job, "liquid-pressure" + suffix)
    liquid_line = read.temperature(job, "liquid-line-temperature" + suffix)
    properties, errors = know.knowledge.properties, errors_of(job, know, suffix)
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


def _verdict(
    job: Job, know: Know, measured: Measured, purpose: RoundKind
) -> tuple[Verdict, str, str]:
    if measured.outside:
        return "stop", "outside-table", f"{measured.outside}."
    if job.method is not None and job.method.stop_by == "weight":
        return _after_weigh_in(job, know, measured)
    finding = find(job, know, measured.superheat, measured.subcooling)
    missing = _missing(job, measured)
    if missing is None:
        return "unverified", "no-target", "There is no target to compare with."
    if finding is not None and finding.stops:
        return "stop", finding.id, _sentence(finding.reason)
    if purpose == "baseline":
        return _at_the_start(finding)
    if _no_effect(job, missing):
        reason = (
            "Several openings changed nothing. Check the cylinder valve, the hose and "
            "what is left in the cylinder."
        )
        return "stop", "no-effect", reason
    return _against_target(job, know, missing)


def _after_weigh_in(
    job: Job, know: Know, measured: Measured
) -> tuple[Verdict, str, str]:
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


def _at_the_start(finding: Finding | None) -> tuple[Verdict, str, str]:
    """Nothing is added unless the readings are sure that it is short."""
    if finding is None:
        return "unverified", "undecided", "The readings are not complete."
    reason = _sentence(finding.reason)
    match finding.id:
        case "undercharged":
            return "add", finding.id, reason
        case "at-target":
            return "done", finding.id, reason
        case "overcharged":
            return "over", finding.id, reason
        case _:
            return "stop", finding.id, reason


def _against_target(job: Job, know: Know, missing: float) -> tuple[Verdict, str, str]:
    limits = know.knowledge.limits
    by_superheat = job.method is not None and job.method.stop_by == "superheat"
    band = limits.superheat_tolerance if by_superheat else limits.subcooling_tolerance
    if missing > AIM_SHARE * band.k:
        return "add", "undercharged", "It is still short."
    if missing < -band.k:
        reason = (
            "It holds too much now. Recover some, into a recovery cylinder with room "
            "left."
        )
        return "over", "overcharged", reason
    return "done", "at-target", ""


def _sentence(reason: str) -> str:
    return f"{reason[0].upper()}{reason[1:]}." if reason else ""


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


def _no_effect(job: Job, missing: float) -> bool:
    """Tell whether the latest openings changed neither the target reading nor suction."""
    if len(job.pulses) < NO_EFFECT_PULSES:
        return False
    latest = job.pulses[-NO_EFFECT_PULSES:]
    before = _short_before(job, NO_EFFECT_PULSES)
    return (
        before is not None
        and sum(pulse.open_s for pulse in latest) >= NO_EFFECT_OPEN_S
        and abs(before - missing) < NO_EFFECT.k
        and not any(_rose(job, pulse.number) for pulse in latest)
    )


def _short_before(job: Job, openings: int) -> float | None:
    return round_short_by(job, len(job.rounds) - openings)


def _rose(job: Job, number: int) -> bool:
    pulse = job.pulses[number - 1]
    if pulse.peak is None or pulse.base is None:
        return False
    return pulse.peak.si - pulse.base.si >= RISE.pa


def after_weigh_in_target(job: Job, know: Know) -> Amount | None:
    """Give what the readings after a weigh-in are compared with, if anything is known."""
    if read.fixed_orifice(job):
        found = superheat_target(job, know)
        return amount(found.value) if isinstance(found, Target) else None
    plate = read.difference(job, "target-subcooling")
    return None if plate is None else amount(plate)

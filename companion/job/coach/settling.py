"""How long to let the unit settle, and when a reading is late enough to count.

A reading taken too early is short of what will come, on a valve unit above all: it
invites too much. So the wait grows near the target, a unit that is still moving when
it is read is given more time from then on, and what looks like the target is looked at
again later before the long wait for the proof.
"""

from companion.job.charge_errors import round_short_by, short_by
from companion.job.coach.hand import full_seconds
from companion.job.coach.learning import flowed, rate
from companion.job.coach.moments import moments, openings_before, taken
from companion.job.coach.passing import more_than_due, moved_k
from companion.job.coach.priors import by_superheat
from companion.job.know import Know
from companion.job.state import Job
from companion.knowledge.quantities import PressureDifference, TemperatureDifference

_F = TemperatureDifference.from_f
MOVED, MOVED_SHARE = _F(1.2), 0.15
"""A target reading that went on by more than this between two looks, and by more than
this share of what the opening changed, is still moving. Our own values: spoken
readings, each taken twice, differ by some 0.6 F."""
TELLING, TELLING_SUPERHEAT = _F(2.5), _F(3.5)
"""A smaller change tells nothing of how slow a unit is. Our own values."""
LOOK_S = 60.0
"""Between two looks at a unit that may still be moving [s]. Our own value."""
AT_REST_SHARE = 0.8
"""A unit that was seen to come to rest by the first look is read sooner, after this
share of the usual wait; one with an orifice only near the target, for its superheat
comes late on a slow unit. Own simulation."""
SLOWER = 2.6
"""A unit found slow is given so many times the usual wait. Our own value."""
PROVING_S = 300.0
"""What looks like the target is looked at again this long after the last opening [s].
Own simulation: by then nine units in ten are within half a degree of rest."""
NOT_FALLEN_S = 90.0
"""More time for a suction pressure that did not fall back [s]. Our own value."""
FLOOD_S = 180.0
"""More time for a superheat that is too low [s]. Our own value."""
LONG_S = 120.0
"""In waits longer than this the cylinder valve is shut too [s]. Our own value."""
CREEP = _F(3.5)
"""A target reading that went on by this much during the wait for the proof, toward
more charge, means that the charging valve passes. Our own value."""
MOST_LOOKS = 5
"""A unit that never comes to rest is judged after so many looks. Our own value."""
OTHERS_MOVED = {
    "suction-pressure": PressureDifference.from_psi(3.5).pa,
    "liquid-pressure": PressureDifference.from_psi(12).pa,
}
"""Pressures that went on by more than this between two looks are still moving [Pa].
Our own values."""


def since_closed(job: Job) -> float:
    """Give how long ago the valve was last closed, or the job interrupted [s]."""
    return job.at - job.disturbed_at


def settle_s(job: Job, know: Know) -> float:
    """Give how long to wait after an opening before the first look [s]."""
    limits = know.knowledge.limits
    close = near(job, know)
    usual_s = limits.settle_near.s if close else limits.settle_far.s
    if slow(job):
        return SLOWER * usual_s
    sooner = _came_to_rest(job) and (close or not by_superheat(job))
    return AT_REST_SHARE * usual_s if sooner else usual_s


def near(job: Job, know: Know) -> bool:
    """Tell whether the last opening is expected to have come near the target."""
    short = short_by(job)
    if short is None:
        return False
    expected = short
    if job.pulses and openings_before(job, job.rounds[-1]) < len(job.pulses):
        last = job.pulses[-1]
        if flowed(last):
            expected -= rate(job, know).at(0.5) * full_seconds(job, last)
    return expected <= near_band(job, know).k


def near_band(job: Job, know: Know) -> TemperatureDifference:
    """Give how near to the target counts as near."""
    limits = know.knowledge.limits
    if by_superheat(job):
        return limits.halve_within_superheat
    return limits.halve_within_subcooling


def slow(job: Job) -> bool:
    """Tell whether this unit was seen filling on when a usual one is at rest.

    One that swings the other way is a valve that hunts: it is looked at again, but it
    is not slow.
    """
    return any(
        judged.finding in ("still-moving", "creep")
        and _nearer_k(job, index) > MOVED.k / 2
        for index, judged in enumerate(job.rounds)
    )


def _nearer_k(job: Job, index: int) -> float:
    """Give how far a round came nearer to the target than the one before it [K]."""
    was, now = round_short_by(job, index - 1), round_short_by(job, index)
    return 0.0 if was is None or now is None else was - now


def look_again(job: Job, know: Know, missing: float, superheat_k: float | None) -> bool:
    """Tell whether a second look is worth its time: it shows how slow the unit is.

    It is where this opening changed enough, or should have, and no opening before it
    was seen to come to rest.
    """
    before = moments(job).get(len(job.pulses) - 1)
    if before is None or before.short_k is None or not job.pulses:
        return False
    if _came_to_rest(job) and not more_than_due(job, know, missing):
        return False
    last = job.pulses[-1]
    if before.flat and missing >= before.short_k - TELLING.k:
        return (
            superheat_k is not None
            and before.superheat_k is not None
            and abs(superheat_k - before.superheat_k) >= TELLING_SUPERHEAT.k
        )
    due = rate(job, know).at(0.5) * full_seconds(job, last) if flowed(last) else 0.0
    return max(abs(before.short_k - missing), due) >= TELLING.k


def _came_to_rest(job: Job) -> bool:
    """Tell whether the readings after an opening that told something stood still."""
    settled = moments(job)
    for count, now in settled.items():
        before = settled.get(count - 1)
        rounds = [each for each in job.rounds if openings_before(job, each) == count]
        if before is None or len(rounds) < 2 or rounds[-1].finding == "still-moving":
            continue
        if before.short_k is None or now.short_k is None:
            continue
        if abs(before.short_k - now.short_k) >= TELLING.k:
            return True
    return False


def proof_s(job: Job, know: Know) -> float:
    """Give how long after the last opening the proof is read [s].

    A quarter of an hour. Where two looks at this very moment, the later one no sooner
    than five minutes after the opening, have shown the unit at rest, a maker's ten
    minutes after every change of charge are enough; a unit once found slow has the
    whole time.
    """
    limits = know.knowledge.limits
    if not job.pulses or slow(job) or len(job.rounds) < 2:
        return limits.settle_final.s
    before, last = job.rounds[-2:]
    if openings_before(job, before) < len(job.pulses):
        return limits.settle_final.s
    was, now = round_short_by(job, len(job.rounds) - 2), short_by(job)
    late = last.at - job.disturbed_at >= PROVING_S - LOOK_S / 2
    if was is None or now is None or not late or abs(was - now) > MOVED.k:
        return limits.settle_final.s
    return limits.settle_maker.s


def crept(job: Job, missing: float) -> bool:
    """Tell whether the unit filled on in the wait for the proof, everything shut."""
    went = moved_k(job, missing)
    return bool(job.pulses) and went is not None and went >= CREEP.k


def extra_s(job: Job, know: Know) -> float:
    """Give how long to wait after a round that is to be read again [s]."""
    finding = job.rounds[-1].finding
    match finding:
        case "not-fallen":
            return NOT_FALLEN_S
        case "flood-back":
            return FLOOD_S
        case "still-moving":
            return max(LONG_S + 5, SLOWER * know.knowledge.limits.settle_far.s / 2)
        case "near-target":
            return max(LOOK_S, PROVING_S - since_closed(job))
        case _:
            return LOOK_S


def moving(job: Job, missing: float) -> bool:
    """Tell whether this round went on from the look before it, no opening between."""
    went = moved_k(job, missing)
    looks = sum(
        openings_before(job, judged) == len(job.pulses) for judged in job.rounds
    )
    if went is None or looks >= MOST_LOOKS:
        return False
    if abs(went) > max(MOVED.k, MOVED_SHARE * _changed(job, missing)):
        return True
    number = len(job.rounds)
    for item, most in OTHERS_MOVED.items():
        now, before = taken(job, item, number), taken(job, item, number - 1)
        if now is not None and before is not None and abs(now - before) > most:
            return True
    return False


def _changed(job: Job, missing: float) -> float:
    before = moments(job).get(len(job.pulses) - 1)
    if before is None or before.short_k is None:
        return 0.0
    return abs(before.short_k - missing)

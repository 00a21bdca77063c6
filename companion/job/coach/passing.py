"""A charging valve that passes: it feeds on although it is shut.

The scale sees it at once, a suction sensor where the coil is starved (see
``suction_watch``); those end the job. By voice alone it is a unit that fills on from
look to look, which a slow one may do as well: it is said, and what holds it is the
cylinder's own valve, shut in every wait from then on.
"""

from dataclasses import replace

from companion.job import read
from companion.job.charge_errors import round_short_by
from companion.job.coach.hand import full_seconds
from companion.job.coach.learning import rate
from companion.job.coach.moments import moments, openings_before, suction
from companion.job.coach.priors import slope_k_per_kg
from companion.job.know import Know
from companion.job.state import Job
from companion.knowledge.quantities import (
    Mass,
    PressureDifference,
    TemperatureDifference,
)

_F = TemperatureDifference.from_f
FILLING, FILLING_HEAT, FILLING_SHARE = _F(3), _F(5), 0.4
"""Target reading, and superheat, that went on by this much between two looks a minute
apart, and by this share of all that the opening changed, are a valve that passes. Own
simulation: a slow unit does so seldom, and is at rest a little later."""
ROSE_PA = PressureDifference.from_psi(1).pa
"""A starved coil's suction rises with its filling: by this much at least."""
PASSED_KG = 0.04
"""A cylinder that lost more than this with the charging valve shut feeds the unit [kg].
Our own value: over twice the error of two weights."""
MUCH_KG = 0.07
"""More than is due by this much has it weighed once more [kg]. Our own value: a
twentieth of a valve's flow over the shortest wait is three times as much."""
MORE_K = _F(2.5).k
"""More than is due by this much asks for a second look [K]. Our own value."""


def moved_k(job: Job, missing: float) -> float | None:
    """Give how far the target reading went since the look before [K], or None."""
    if not job.rounds or openings_before(job, job.rounds[-1]) < len(job.pulses):
        return None
    before = round_short_by(job, len(job.rounds) - 1)
    return None if before is None else before - missing


def _went_beyond_k(job: Job, missing: float) -> float | None:
    """Give how far this look went beyond all looks before it, no opening between [K]."""
    shorts = [
        short
        for index, judged in enumerate(job.rounds)
        if openings_before(job, judged) == len(job.pulses)
        and (short := round_short_by(job, index)) is not None
    ]
    return min(shorts) - missing if shorts else None


def fills_on(job: Job, missing: float, superheat_k: float | None) -> bool:
    """Tell whether the unit went on filling from the look before to this one.

    A slow unit goes on too, but by less than it had come already.
    """
    before = moments(job).get(len(job.pulses) - 1)
    last = job.rounds[-1] if job.rounds else None
    went = _went_beyond_k(job, missing)
    if before is None or before.short_k is None or went is None or last is None:
        return False
    if went >= FILLING.k and went >= FILLING_SHARE * (before.short_k - missing):
        return True
    if not before.flat or not _suction_rose(job):
        return False
    if last.superheat is None or superheat_k is None or before.superheat_k is None:
        return False
    fell = last.superheat.si - superheat_k
    whole = before.superheat_k - superheat_k
    return fell >= FILLING_HEAT.k and fell >= FILLING_SHARE * whole


def much_left(job: Job, know: Know) -> bool:
    """Tell whether more left the cylinder than the last opening explains."""
    number = len(job.pulses)
    before, after = weight(job, f"#{number - 1}"), weight(job, f"#{number}")
    if not number or before is None or after is None:
        return False
    last = job.pulses[-1]
    known = replace(job, pulses=job.pulses[:-1])
    due_k = rate(known, know, last.hint).at(1.0) * full_seconds(job, last)
    return before.kg - after.kg > due_k / slope_k_per_kg(job) + MUCH_KG


def _suction_rose(job: Job) -> bool:
    """Tell whether suction rose from the look before to the round under way."""
    number = len(job.rounds)
    was, now = suction(job, number - 1), suction(job, number)
    return was is not None and now is not None and now.pa - was.pa >= ROSE_PA


def weight_fell(job: Job) -> bool:
    """Tell whether the cylinder lost weight while the charging valve was shut."""
    number = len(job.pulses)
    first, again = weight(job, f"#{number}"), weight(job, f"#{number}b")
    if not number or first is None or again is None:
        return False
    return first.kg - again.kg > PASSED_KG


def weight(job: Job, suffix: str) -> Mass | None:
    """Give a weight of the cylinder as it was answered."""
    return read.mass(job, "cylinder-weight" + suffix)


def more_than_due(job: Job, know: Know, missing: float) -> bool:
    """Tell whether more came than the opening explains: the valve may pass."""
    before = moments(job).get(len(job.pulses) - 1)
    if before is None or before.short_k is None or not job.pulses:
        return False
    due = rate(job, know).at(1.0) * full_seconds(job, job.pulses[-1])
    return before.short_k - missing > due + MORE_K

"""What the readings between two openings come to.

A reading is asked twice where the difference matters: at the start, for the proof, and
wherever it is odd against what was expected. Two that agree are averaged; where they do
not, a third decides, and the middle one counts.
"""

from dataclasses import dataclass
from statistics import fmean, median

from companion.job import read
from companion.job.amounts import Amount
from companion.job.charge_errors import round_short_by
from companion.job.coach.priors import FLAT_K, by_superheat
from companion.job.facts import NumberAnswer, RoundJudged, RoundKind
from companion.job.state import Job
from companion.knowledge.quantities import (
    GaugePressure,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)

AGAIN = ("", "b", "c")
"""Marks of the first, second and third asking of one reading in one round."""
_PSI, _F = PressureDifference.from_psi, TemperatureDifference.from_f
AGREE = {
    "suction-pressure": _PSI(4).pa,
    "liquid-pressure": _PSI(10).pa,
    "suction-line-temperature": _F(4).k,
    "liquid-line-temperature": _F(4).k,
}
"""Two askings of one reading agree within this. Our own values: some twice what two
readers of one gauge differ by."""
USUAL_STEP = {
    "suction-pressure": _PSI(7).pa,
    "liquid-pressure": _PSI(25).pa,
    "suction-line-temperature": _F(8).k,
    "liquid-line-temperature": _F(7).k,
}
"""A reading that changed more than this since the round before is asked again. Our own
values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The settled state after so many openings.

    ``short_k`` is how far the target reading is from the target [K], above zero short;
    ``flat`` where a valve unit's subcooling hides how much is missing.
    """

    openings: int
    at: float
    short_k: float | None
    superheat_k: float | None
    subcooling_k: float | None
    flat: bool


def values(job: Job, item: str, number: int) -> tuple[float, ...]:
    """Give every asking of a reading in a round, in order [SI]."""
    found = []
    for mark in AGAIN:
        answer = job.answers.get(f"{item}@{number}{mark}")
        if isinstance(answer, NumberAnswer):
            found.append(answer.amount.si)
    return tuple(found)


def taken(job: Job, item: str, number: int) -> float | None:
    """Give what a reading counts as in a round [SI], or None where it was not taken."""
    found = values(job, item, number)
    match len(found):
        case 0:
            return None
        case 1 | 2:
            return fmean(found)
        case _:
            return _middle(item, found)


def _middle(item: str, found: tuple[float, ...]) -> float:
    """Give the mean of those that agree with the middle one."""
    centre = median(found)
    return fmean(each for each in found if abs(each - centre) <= AGREE[item] / 2)


def suction(job: Job, number: int) -> GaugePressure | None:
    """Give the suction pressure of a round."""
    found = taken(job, "suction-pressure", number)
    return None if found is None else GaugePressure(found)


def line(job: Job, item: str, number: int) -> Temperature | None:
    """Give a line temperature of a round."""
    found = taken(job, item, number)
    return None if found is None else Temperature(found)


def due(
    job: Job, items: tuple[str, ...], purpose: RoundKind, odd: frozenset[str]
) -> str | None:
    """Give the key of the reading to ask for next in this round, or None.

    Parameters
    ----------
    items
        Readings of this round, in the order they are asked for.
    odd
        Those that are to be asked twice because they are odd, once all are there.
    """
    number = len(job.rounds)
    for item in items:
        if not values(job, item, number):
            return f"{item}@{number}"
    for item in items:
        found = values(job, item, number)
        if len(found) == 1 and (item in odd or twice(job, item, purpose)):
            return f"{item}@{number}b"
    for item in items:
        found = values(job, item, number)
        if len(found) == 2 and abs(found[0] - found[1]) > AGREE[item]:
            return f"{item}@{number}c"
    return None


def target_pair(job: Job) -> tuple[str, str]:
    """Give the two readings that the target rests on."""
    if by_superheat(job):
        return ("suction-pressure", "suction-line-temperature")
    return ("liquid-pressure", "liquid-line-temperature")


def twice(job: Job, item: str, purpose: RoundKind) -> bool:
    """Tell whether a reading is asked twice whatever it says."""
    match purpose:
        case "baseline":
            return True
        case "final":
            return item in target_pair(job)
        case "check":
            return False


def stepped(job: Job, items: tuple[str, ...]) -> frozenset[str]:
    """Give the readings of this round that changed more than is usual in one opening."""
    number = len(job.rounds)
    found = set()
    for item in items:
        now, before = taken(job, item, number), taken(job, item, number - 1)
        if now is None or before is None:
            continue
        if abs(now - before) > USUAL_STEP[item]:
            found.add(item)
    return frozenset(found)


def moments(job: Job) -> dict[int, Moment]:
    """Give the settled state after each number of openings that was judged."""
    found: dict[int, list[int]] = {}
    for index, judged in enumerate(job.rounds):
        found.setdefault(openings_before(job, judged), []).append(index)
    return {count: _moment(job, count, rounds) for count, rounds in found.items()}


def openings_before(job: Job, judged: RoundJudged) -> int:
    """Give how many openings there had been when a round was judged."""
    return sum(1 for pulse in job.pulses if pulse.ended_at <= judged.at)


def _moment(job: Job, count: int, rounds: list[int]) -> Moment:
    last = job.rounds[rounds[-1]]
    subcooling_k = _k(last.subcooling)
    flat = not by_superheat(job) and subcooling_k is not None and subcooling_k < FLAT_K
    return Moment(
        openings=count,
        at=last.at,
        short_k=settled_short(job, rounds),
        superheat_k=_k(last.superheat),
        subcooling_k=subcooling_k,
        flat=flat,
    )


STILL_K = 1.5 / 1.8
"""Two rounds of one moment that differ less than this say the same [K]. Our own
value."""


def settled_short(job: Job, rounds: list[int]) -> float | None:
    """Give how far from the target: the last round, averaged with those that agree."""
    shorts = [round_short_by(job, index) for index in rounds]
    last = shorts[-1]
    if last is None:
        return None
    same = [each for each in shorts[-3:] if each is not None]
    return fmean(each for each in same if abs(each - last) <= STILL_K)


def agreed(job: Job, short_k: float) -> float:
    """Average a round with the earlier ones of its moment that agree with it [K]."""
    count = len(job.pulses)
    same = [
        found
        for index, judged in enumerate(job.rounds)
        if openings_before(job, judged) == count
        and (found := round_short_by(job, index)) is not None
        and abs(found - short_k) <= STILL_K
    ]
    return fmean((*same[-2:], short_k))


def _k(value: Amount | None) -> float | None:
    return None if value is None else value.si


def scale_used(job: Job) -> bool:
    """Tell whether the cylinder stands on a scale."""
    return read.option(job, "scale") == "yes"

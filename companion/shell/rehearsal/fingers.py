"""A technician without a voice: what they mean as presses of the four buttons."""

from decimal import Decimal
from typing import assert_never

from companion.job.amounts import amount
from companion.job.dial import NUMBER, menu, places
from companion.job.expectations import EXPECTATIONS, Expectation
from companion.job.inputs import (
    Button,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
    SaidWrongUnit,
)
from companion.job.know import Know
from companion.job.listening import expected_now, read_back
from companion.job.state import Closed, Job
from companion.knowledge.quantities import Quantity
from companion.shell.translate import understood
from companion.shell.wording import Wording

PRESS_S = 0.5
"""From one press to the next [s]."""
_AT_ONCE: dict[str, tuple[Button, ...]] = {
    "stop": ("stop",),
    "close": ("stop",),
    "again": ("say-again",),
    "yes": ("confirm",),
    "done": ("confirm",),
    "ready": ("confirm",),
    "continue": ("confirm",),
}
"""Control words that have a button of their own, or are what confirm means."""


def presses(job: Job, know: Know, wording: Wording, words: str) -> tuple[Button, ...]:
    """Give the presses that say what these words would say; none where none can."""
    names = know.knowledge.catalogue.designations
    said = understood(words, expected_now(job), wording, names)
    if isinstance(said, SaidControl):
        return _word(job, know, said.word)
    if not isinstance(job.valve, Closed):
        return ()
    match said:
        case SaidChoice(option=option):
            return _chosen(job, know, option)
        case SaidName(designation=designation):
            return _chosen(job, know, designation)
        case SaidQuantity(quantity=quantity):
            return (*_chosen(job, know, NUMBER), *_dialled(job, know, quantity))
        case SaidOutOfRange() | SaidWrongUnit() | SaidNameUnclear() | SaidUnclear():
            return ()
        case _:
            assert_never(said)


def _word(job: Job, know: Know, word: str) -> tuple[Button, ...]:
    """Give the presses for a control word."""
    if not isinstance(job.valve, Closed):
        at_the_valve = word in ("opened", "closed")
        stops = word in ("stop", "close")
        return ("confirm",) if at_the_valve else ("stop",) if stops else ()
    if word == "no" and read_back(job):
        return ("talk",)
    return _AT_ONCE.get(word) or _chosen(job, know, word)


def _expected(job: Job) -> Expectation | None:
    return None if job.asked is None else EXPECTATIONS[job.asked.expects]


def _chosen(job: Job, know: Know, choice: str) -> tuple[Button, ...]:
    """Open the menu, step to a choice the shorter way, and take it."""
    expected = _expected(job)
    if expected is None:
        return ()
    known = know.knowledge.catalogue.refrigerants
    choices = menu(expected, tuple(each.designation for each in known))
    if choice not in choices:
        return ()
    return ("talk", *_steps(choices.index(choice), len(choices)), "confirm")


def _dialled(job: Job, know: Know, quantity: Quantity) -> tuple[Button, ...]:
    expected = _expected(job)
    scale = None if expected is None else know.scales.get((job.units, str(expected.of)))
    if expected is None or scale is None:
        return ()
    where = places(expected, scale)
    value = round(Decimal(scale.read(amount(quantity).si)), where.decimals)
    figures = f"{abs(value.scaleb(where.decimals)):0{where.whole + where.decimals}.0f}"
    made: list[Button] = []
    entered = ""
    for figure in (["-"] if value < 0 else []) + list(figures):
        ring = where.ring(entered)
        made += _steps(len(ring) - 1 if figure == "-" else int(figure), len(ring))
        made.append("confirm")
        entered += figure
    return tuple(made)


def _steps(cursor: int, length: int) -> list[Button]:
    if cursor <= length // 2:
        return ["talk"] * cursor
    return ["say-again"] * (length - cursor)

"""What a checklist file may hold: frozen records that refuse unknown keys.

Every sentence here is spoken to a technician over a running fan, so each is one
sentence of at most :data:`MOST_WORDS` plain words, without marks a voice would
stumble over. Every step says who says so, and how surely.
"""

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, Literal, TypeAlias

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PositiveInt,
    StringConstraints,
)

MOST_WORDS = 22
"""The longest sentence, in words."""

CONTEXT: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "safety_group": ("A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3"),
        "method": ("liquid-pulses", "vapor", "weigh-in"),
        "draw": ("liquid", "vapor"),
        "cylinder": ("inverted", "upright"),
        "unit": ("running", "off"),
        "scale": ("yes", "no"),
        "charge": ("right", "over", "suspect"),
        "metering": ("fixed-orifice", "thermostatic", "electronic"),
    }
)
"""What a step may depend on, and the values each of these can have."""

CERTAINTIES = (
    "read at source",
    "second-hand",
    "computed",
    "common practice, no source",
    "from memory",
)
"""The words that end every source: how the statement is known."""

_NEEDS_A_CITATION = frozenset({"read at source", "second-hand", "computed"})
_SPEAKABLE = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ,'-]*")


class ChecklistError(ValueError):
    """A checklist file is broken; the message names file, step and cure."""


def certainty(source: str) -> str:
    """Give the certainty word that ends a source, one of :data:`CERTAINTIES`.

    Raises
    ------
    ValueError
        If it ends with none of them.
    """
    for word in CERTAINTIES:
        if source == word or source.endswith(f"; {word}"):
            return word
    known = ", ".join(f"'{word}'" for word in CERTAINTIES)
    raise ValueError(f"must end with a semicolon and one of {known}")


def _cited(source: str) -> str:
    word = certainty(source)
    if word in _NEEDS_A_CITATION and source == word:
        raise ValueError(f"'{word}' needs a citation before it")
    return source


def _speakable(sentence: str, mark: str) -> str:
    if not sentence.endswith(mark):
        raise ValueError(f"must end with '{mark}'")
    if not _SPEAKABLE.fullmatch(sentence[:-1]):
        raise ValueError(
            "must be one sentence of letters, digits, commas, hyphens and apostrophes"
        )
    count = len(sentence.split())
    if count > MOST_WORDS:
        raise ValueError(f"has {count} words; at most {MOST_WORDS} may be spoken")
    return sentence


def _statement(sentence: str) -> str:
    return _speakable(sentence, ".")


def _question(sentence: str) -> str:
    return _speakable(sentence, "?")


def _some(steps: tuple["Step", ...]) -> tuple["Step", ...]:
    if not steps:
        raise ValueError("must hold at least one step")
    return steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One thing a job must have: the value of ``key`` is among ``allowed``."""

    key: str
    allowed: tuple[str, ...]


def _conditions(table: object) -> tuple[Condition, ...]:
    if not isinstance(table, Mapping):
        raise ValueError('must be a table, such as { unit = ["running"] }')  # noqa: TRY004 - pydantic reports ValueError only
    wrong = [fault for item in table.items() for fault in _condition_faults(*item)]
    if wrong:
        raise ValueError("; ".join(wrong))
    return tuple(Condition(key=key, allowed=tuple(v)) for key, v in table.items())


def _condition_faults(key: str, values: object) -> list[str]:
    known = CONTEXT.get(key)
    if known is None:
        return [f"'{key}' is not known; known: {', '.join(CONTEXT)}"]
    if not isinstance(values, list) or not values:
        return [f"'{key}' must be a list of values, such as [\"{known[0]}\"]"]
    return [
        f"'{value}' is no {key}; known: {', '.join(known)}"
        for value in values
        if value not in known
    ]


Name: TypeAlias = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
Statement: TypeAlias = Annotated[str, AfterValidator(_statement)]
Question: TypeAlias = Annotated[str, AfterValidator(_question)]
Source: TypeAlias = Annotated[str, AfterValidator(_cited)]
Applies: TypeAlias = Annotated[tuple[Condition, ...], BeforeValidator(_conditions)]


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class DoStep(_Record):
    """Something to do, answered by "done".

    ``caution`` is spoken before ``say``, ``why`` when asked. The step is left out
    only where the job is known to differ from ``applies``.
    """

    kind: Literal["do"]
    id: Name
    caution: Statement | None = None
    say: Statement
    why: Statement
    source: Source
    applies: Applies = ()


class AskStep(_Record):
    """Something to find out, answered by "yes" or "no"; ``good`` lets the job go on.

    Any other answer, "don't know" included, means ``otherwise``: "fix" (do
    ``remedy``, then the step is asked again), "stop" (the job stops and ``remedy``
    says what to do) or "note" (``remedy`` is said and the job goes on).
    """

    kind: Literal["ask"]
    id: Name
    caution: Statement | None = None
    say: Question
    good: Literal["yes", "no"]
    otherwise: Literal["fix", "stop", "note"]
    remedy: Statement
    why: Statement
    source: Source
    applies: Applies = ()


Step: TypeAlias = DoStep | AskStep


class Checklist(_Record):
    """One checklist file.

    ``revision`` rises with every change, so that a job resumed with another
    revision starts the list again. ``applies`` holds for all its steps.
    """

    id: Name
    revision: PositiveInt
    purpose: Statement
    review_by: datetime.date
    applies: Applies = ()
    steps: Annotated[
        tuple[Annotated[Step, Field(discriminator="kind")], ...],
        Field(strict=False),
        AfterValidator(_some),
    ]


def expired(checklist: Checklist, today: datetime.date) -> bool:
    """Tell whether the list's review date has passed; on the day itself it has not."""
    return today > checklist.review_by

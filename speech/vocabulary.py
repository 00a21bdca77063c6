"""What may be said now: a number, a name, a choice, a control; nothing else is heard."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from speech.names import check_designation
from speech.numbers import LIMIT
from speech.words import tokens

CONTROLS = (
    "stop",
    "close",
    "closed",
    "opened",
    "ready",
    "again",
    "why",
    "back",
    "status",
    "help",
    "yes",
    "no",
    "done",
    "unknown",
    "noise",
    "wait",
    "resume",
    "continue",
)
"""Every control id there is; its phrases are in ``data/phrases.toml``."""

UNITS = ("psi", "f", "c", "oz", "lb", "kg", "g", "bar", "kpa", "ft", "micron")
"""Every unit id there is; its phrases are in ``data/phrases.toml``."""

ALWAYS = ("stop", "close")
"""Controls obeyed wherever they are understood, expected or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberRange:
    """A number that may be said now.

    ``low`` and ``high`` (both included) hold for a number said without a unit or in
    the first unit of ``units``. ``decimals`` is how many places the recogniser listens
    for, 0 or 1.

    Raises
    ------
    ValueError
        If the range is empty, reaches past what can be spoken, has other decimals or
        an unknown or repeated unit.
    """

    low: Decimal | int
    high: Decimal | int
    decimals: int = 0
    units: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.low <= self.high:
            raise ValueError(f"the range {self.low} to {self.high} is empty")
        if self.low < -LIMIT or self.high > LIMIT:
            raise ValueError(
                f"the range {self.low} to {self.high} reaches past {LIMIT}"
            )
        if self.decimals not in (0, 1):
            raise ValueError(f"decimals must be 0 or 1, not {self.decimals}")
        _known(self.units, UNITS, "unit")


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """All that may be said now; records that listeners turn into word lists.

    ``names`` are designations such as ``R-410A``. ``choices`` maps an option's id to
    the phrases for it. ``controls`` are ids from :data:`CONTROLS`; a listener hears no
    other control. ``strict`` asks for clear evidence even for the words that need least,
    for an ear that is never closed and hears everything. ``wary`` asks for less evidence
    of the always obeyed controls, where a missed one may hurt: the valve is open.
    ``talking`` asks for more: the companion's own voice may be what is heard.

    Raises
    ------
    ValueError
        If an id is unknown, a designation cannot be spoken, or two options share a
        phrase, or a phrase is empty or holds a word that is always obeyed.
    """

    numbers: NumberRange | None = None
    names: tuple[str, ...] = ()
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    controls: tuple[str, ...] = ()
    strict: bool = False
    wary: bool = False
    talking: bool = False

    def __post_init__(self) -> None:
        _known(self.controls, CONTROLS, "control")
        for name in self.names:
            check_designation(name)
        seen: dict[tuple[str, ...], str] = {}
        for option, phrases in self.choices.items():
            for phrase in phrases:
                said = _choice_words(option, phrase)
                if seen.setdefault(said, option) != option:
                    raise ValueError(
                        f"the options {seen[said]!r} and {option!r} share the phrase "
                        f"{phrase!r}; give one of them another"
                    )


def _choice_words(option: str, phrase: str) -> tuple[str, ...]:
    said = tokens(phrase)
    if not said:
        raise ValueError(f"the option {option!r} has a phrase without words")
    if set(said) & set(ALWAYS):
        raise ValueError(
            f"the phrase {phrase!r} of option {option!r} holds a word that is always "
            f"obeyed ({', '.join(ALWAYS)}); choose other words"
        )
    return said


def _known(given: tuple[str, ...], known: tuple[str, ...], what: str) -> None:
    for name in given:
        if name not in known:
            raise ValueError(
                f"the {what} {name!r} is not known; known: {' '.join(known)}"
            )
    if len(set(given)) < len(given):
        raise ValueError(f"a {what} is given twice in {given}")

"""Entering an answer by presses alone: a menu, and a number digit by digit.

Four buttons do everything. "Talk" opens the dial for what is asked and then steps up,
"say again" steps down, "confirm" takes what is shown, and each press is echoed. "Stop"
is never the dial's: it always stops. While the valve is not closed there is no dial at
all, so that "confirm" always means the valve then.

A number is entered at fixed places, highest first, each from 0; a reading that may be
below zero has "minus" beside the 0 of its first place. Nothing of an earlier value is
offered, since a reading confirmed through by habit would be an old one. The whole
number is read back afterwards and waits for a yes.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from companion.job.expectations import Expectation
from companion.knowledge.quantities import Quantity

Page = Literal["menu", "digits", "off"]
NUMBER = "number"
LEAVE = "leave"
MINUS = "minus"
ANY_MOMENT = ("again", "why", "back", "status", "help", LEAVE)
"""What every menu ends with."""
PLACES = ("thousands", "hundreds", "tens", "ones", "tenths", "hundredths")
_ONES = PLACES.index("ones")
_NEVER_IN_A_MENU = frozenset({"ready"})
"""An opening is agreed to by the confirm button itself, never out of a menu."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How numbers of one kind are dialled in one system of units.

    Attributes
    ----------
    make, read
        From the number to the quantity, and from the SI number to the number.
    decimals
        Decimal places that are asked for.
    unit
        The unit's spoken name.
    """

    make: Callable[[float], Quantity]
    read: Callable[[float], float]
    decimals: int
    unit: str


Scales = Mapping[tuple[str, str], Scale]
"""Scale by system of units and kind of amount."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """The dial as it stands for the item with this key.

    ``cursor`` is the place in the menu, or the digit shown; ``entered`` holds what was
    taken of a number, with its sign.
    """

    key: str
    page: Page
    cursor: int = 0
    entered: str = ""


def menu(expected: Expectation, names: tuple[str, ...]) -> tuple[str, ...]:
    """Give what can be chosen for an expectation, likeliest first.

    Where a press of confirm alone means yes, the menu begins with "no".
    """
    own: list[str] = [NUMBER] if expected.of is not None else []
    own += names if expected.names else ()
    own += expected.options
    controls = sorted(expected.controls, key=lambda word: word == "yes")
    own += [word for word in controls if word not in _NEVER_IN_A_MENU]
    if "no" in own:
        own.sort(key=lambda word: word != "no")
    own.sort(key=lambda word: word == "finish")  # what cannot be taken back comes last
    return (*own, *ANY_MOMENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The places of a number: how many whole digits, decimals, and whether below zero."""

    whole: int
    decimals: int
    below_zero: bool

    def name(self, entered: str) -> str:
        """Name the place that comes after what was entered."""
        return PLACES[_ONES + 1 - self.whole + len(entered.lstrip("-"))]

    def full(self, entered: str) -> bool:
        """Tell whether every place was entered."""
        return len(entered.lstrip("-")) == self.whole + self.decimals

    def ring(self, entered: str) -> tuple[str, ...]:
        """Give what the next place can show, in the order of stepping up."""
        digits = tuple("0123456789")
        return (*digits, MINUS) if self.below_zero and not entered else digits

    def value(self, entered: str) -> Decimal:
        """Give the number that was entered."""
        return Decimal(entered).scaleb(-self.decimals)


def places(expected: Expectation, scale: Scale) -> Places:
    """Give the places of the number an expectation asks for."""
    low, high = scale.read(expected.low), scale.read(expected.high)
    return Places(
        whole=len(str(int(max(abs(low), abs(high))))),
        decimals=scale.decimals,
        below_zero=low < 0,
    )

"""What the technician may answer now: the closed list of expectations.

Each question expects one of these. The hearing side narrows its vocabulary to it, and
a look-up on a sound file names it. Ranges bound what can be *understood*; what is
*believable* for a refrigerant and a moment is judged by ``knowledge.plausible``.
"""

from dataclasses import dataclass

from companion.job.amounts import Amount, AmountKind, amount
from companion.knowledge.plausible import WINDOWS, as_quantity
from companion.knowledge.quantities import Quantity
from companion.knowledge.readings import Item

ALWAYS = ("stop", "close", "again", "why", "back", "status", "help")
"""Control words that are understood at every moment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """What kind of answer is due.

    Attributes
    ----------
    of, low, high
        For a number: its kind and the bounds [Pa, K, kg, m] of what is understood.
    options
        For a choice: the option ids.
    names
        True where a refrigerant designation is due.
    controls
        Control words understood here beside those that always are.
    """

    id: str
    of: AmountKind | None = None
    low: float = 0.0
    high: float = 0.0
    options: tuple[str, ...] = ()
    names: bool = False
    controls: tuple[str, ...] = ()

    @property
    def bounds(self) -> tuple[Amount, Amount] | None:
        """The bounds as amounts, or nothing where no number is due."""
        if self.of is None:
            return None
        return Amount(of=self.of, si=self.low), Amount(of=self.of, si=self.high)


def _number(
    name: str, low: Quantity, high: Quantity, *controls: str, unknown: bool = False
) -> Expectation:
    bottom, top = amount(low), amount(high)
    extra = (*controls, "unknown") if unknown else controls
    return Expectation(
        id=name, of=bottom.of, low=bottom.si, high=top.si, controls=extra
    )


def _window(item: Item) -> tuple[Quantity, Quantity]:
    """Give what a reading can be at all: one limit, for hearing and for judging."""
    low, high = WINDOWS[item].possible
    return as_quantity(item, low), as_quantity(item, high)


_AT_THE_VALVE = ("opened", "closed", "noise", "wait")

_ALL = (
    Expectation(id="refrigerant", names=True, controls=("unknown",)),
    Expectation(
        id="metering",
        options=("fixed-orifice", "thermostatic", "electronic"),
        controls=("unknown",),
    ),
    Expectation(
        id="unit-state",
        options=("cooling", "heating", "evacuated", "empty", "off-charged"),
        controls=("unknown",),
    ),
    Expectation(
        id="leak-state",
        options=("none-found", "repaired", "unrepaired"),
        controls=("unknown",),
    ),
    Expectation(id="loss", options=("small", "large"), controls=("unknown",)),
    Expectation(id="yes-no", controls=("yes", "no", "unknown")),
    Expectation(id="done", controls=("done", "no")),
    Expectation(id="read-back", controls=("yes", "no")),
    Expectation(id="ready", controls=("ready", "wait", "noise")),
    Expectation(id="valve-closed", controls=("closed", "noise")),
    Expectation(id="halted", options=("finish",), controls=("continue",)),
    Expectation(id="waiting", controls=("noise",)),
    Expectation(id="nothing"),
    _number("suction-pressure", *_window("suction-pressure")),
    _number("liquid-pressure", *_window("liquid-pressure")),
    _number("suction-line-temperature", *_window("suction-line-temperature")),
    _number("liquid-line-temperature", *_window("liquid-line-temperature")),
    _number("outdoor-temperature", *_window("outdoor-temperature")),
    _number("return-wet-bulb", *_window("return-wet-bulb")),
    _number("cylinder-weight", *_window("cylinder-weight")),
    _number("factory-charge", *_window("factory-charge"), unknown=True),
    _number("charge-adder", *_window("charge-adder")),
    _number("target-subcooling", *_window("target-subcooling"), unknown=True),
    _number("open-suction", *_window("suction-pressure"), *_AT_THE_VALVE),
    _number("open-weight", *_window("cylinder-weight"), *_AT_THE_VALVE),
)

EXPECTATIONS = {each.id: each for each in _ALL}
"""Every expectation by its id."""

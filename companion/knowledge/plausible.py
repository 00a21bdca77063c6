"""Is a reading believable, doubtful or impossible, and why.

*Impossible* is what cannot be: below a vacuum, suction above liquid while the unit
runs, wet bulb above dry bulb, above every saturation table. *Doubtful* is what seldom
is; it is asked again, and believed when it comes again. This module judges a value by
itself and by the one before it; ``plausible_circuit`` judges the values of one moment
against each other.

The windows below are this project's own choice, wide enough for a unit badly short of
charge on a hot day; each has its reason beside it.
"""

from dataclasses import dataclass
from typing import assert_never

from companion.knowledge.judgements import (
    Believable,
    Doubtful,
    Impossible,
    Judgement,
    Objection,
)
from companion.knowledge.plausible_circuit import circuit_objections
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    Volume,
)
from companion.knowledge.readings import ITEM_TYPES, Item, ReadingContext

CYLINDER_SLACK_OZ = 2.0  # the pull of hose and hands on a scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """What a value of an item may be, in the unit it is read in.

    Attributes
    ----------
    possible, likely
        Lowest and highest value.
    step
        Largest change from the last accepted value that is not asked again; None
        where values have nothing to do with each other.
    why
        What the bounds come from.
    """

    unit: str
    possible: tuple[float, float]
    likely: tuple[float, float]
    why: str
    step: float | None = None


WINDOWS: dict[Item, Window] = {
    "suction-pressure": Window(
        unit="psig",
        possible=(-15, 700),
        likely=(-15, 500),
        why="service gauges end there",
        step=40,
    ),
    "liquid-pressure": Window(
        unit="psig",
        possible=(-15, 800),
        likely=(-15, 650),
        why="service gauges and cut-outs end there",
        step=80,
    ),
    "suction-line-temperature": Window(
        unit="F",
        possible=(-60, 200),
        likely=(0, 130),
        why="a suction line lies between its coil and a hot roof",
        step=30,
    ),
    "liquid-line-temperature": Window(
        unit="F",
        possible=(-60, 250),
        likely=(30, 150),
        why="a liquid line lies between outdoor air and condensing",
        step=30,
    ),
    "outdoor-temperature": Window(
        unit="F",
        possible=(-60, 150),
        likely=(20, 125),
        why="weather, and the air above a hot roof",
        step=15,
    ),
    "return-dry-bulb": Window(
        unit="F",
        possible=(32, 130),
        likely=(60, 95),
        why="air from rooms",
        step=10,
    ),
    "return-wet-bulb": Window(
        unit="F",
        possible=(20, 100),
        likely=(48, 80),
        why="air from rooms",
        step=10,
    ),
    "cylinder-weight": Window(
        unit="oz",
        possible=(0, 4800),
        likely=(32, 2400),
        why="service cylinders weigh 2 to 150 pounds",
    ),
    "factory-charge": Window(
        unit="oz",
        possible=(1, 4800),
        likely=(16, 640),
        why="split units hold 1 to 40 pounds",
    ),
    "charge-adder": Window(
        unit="oz",
        possible=(-100, 640),
        likely=(0, 120),
        why="lines of up to 200 feet",
    ),
    "target-subcooling": Window(
        unit="F",
        possible=(1, 40),
        likely=(4, 20),
        why="plates print 5 to 18",
    ),
    "line-length": Window(
        unit="ft",
        possible=(1, 500),
        likely=(3, 250),
        why="lines of split units",
    ),
}
"""Bounds by item: this project's own choice, from memory of the trade's equipment."""


def judge(item: Item, quantity: Quantity, context: ReadingContext) -> Judgement:
    """Judge a reading before it is used.

    Parameters
    ----------
    item
        What was read.
    quantity
        The value, of the type that the item asks for.
    context
        What it is judged against.

    Returns
    -------
    Believable, Doubtful or Impossible
        The first impossibility if there is one, else the first doubt.

    Raises
    ------
    TypeError
        If the quantity is of another type than the item's.
    """
    if not isinstance(quantity, ITEM_TYPES[item]):
        due = ITEM_TYPES[item].__name__
        raise TypeError(f"{item} takes a {due}, not {quantity!r}")
    objections = [
        *_window_objections(item, as_read(quantity)),
        *circuit_objections(item, quantity, context),
        *_step_objections(item, quantity, context),
    ]
    for objection in objections:
        if objection.kind == "impossible":
            return objection
    return objections[0] if objections else Believable()


def as_read(quantity: Quantity) -> float:
    """Give a quantity in the unit it is read in: psi, F, oz, ft or liters."""
    match quantity:
        case GaugePressure() | AbsolutePressure():
            return quantity.psi
        case Temperature() | TemperatureDifference():
            return quantity.f
        case Mass():
            return quantity.oz
        case Length():
            return quantity.ft
        case Volume():
            return quantity.litre
        case _:
            assert_never(quantity)


def as_quantity(item: Item, value: float) -> Quantity:
    """Make a quantity of an item from a number in the unit it is read in."""
    kind = ITEM_TYPES[item]
    if kind is GaugePressure:
        return GaugePressure.from_psi(value)
    if kind is Temperature:
        return Temperature.from_f(value)
    if kind is TemperatureDifference:
        return TemperatureDifference.from_f(value)
    if kind is Mass:
        return Mass.from_oz(value)
    return Length.from_ft(value)


def _window_objections(item: Item, value: float) -> list[Objection]:
    window = WINDOWS[item]
    shown = f"{value:.0f} {window.unit} is outside"
    low, high = window.possible
    if not low <= round(value, 3) <= high:
        reason = f"{shown} the possible {low:g} to {high:g}: {window.why}"
        return [Impossible(reason_id="outside-window", reason=reason)]
    low, high = window.likely
    if not low <= round(value, 3) <= high:
        reason = f"{shown} the usual {low:g} to {high:g}: {window.why}"
        return [Doubtful(reason_id="outside-window", reason=reason)]
    return []


def _step_objections(
    item: Item, quantity: Quantity, context: ReadingContext
) -> list[Objection]:
    last = context.last.get(item)
    if last is None or not isinstance(last, ITEM_TYPES[item]):
        return []
    window = WINDOWS[item]
    change = as_read(quantity) - as_read(last)
    if item == "cylinder-weight" and change > CYLINDER_SLACK_OZ:
        reason = (
            f"the cylinder weighs {change:.0f} oz more than before, but charging only "
            "takes from it"
        )
        return [Doubtful(reason_id="heavier-cylinder", reason=reason)]
    if window.step is None or abs(change) <= window.step:
        return []
    reason = (
        f"it changed by {abs(change):.0f} {window.unit} since the last reading; "
        f"up to {window.step:g} is usual"
    )
    return [Doubtful(reason_id="big-step", reason=reason)]

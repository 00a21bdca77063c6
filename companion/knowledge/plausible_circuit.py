"""Do the values of one moment fit each other: pressures, lines and air.

Suction is judged by its dew point, liquid by its bubble point; a pressure that is
ordinary for one refrigerant is absurd for another. Bounds are this project's own
choice, each with its reason; those of superheat and subcooling come from its charging
study, where a value outside them always meant that one of the two readings was wrong.
"""

from collections.abc import Callable, Mapping

from companion.knowledge.judgements import Doubtful, Impossible, Objection
from companion.knowledge.properties import OutsideTable, working_temperature
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Quantity,
    Temperature,
)
from companion.knowledge.readings import Item, ReadingContext

SUPERHEAT_F = (-6.0, 75.0)
SUBCOOLING_F = (-8.0, 40.0)
RUNNING_SUCTION_F = (-10.0, 70.0)  # nearly empty, to starting in a hot house
RUNNING_LIQUID_F = (50.0, 150.0)  # the coldest valid day, to a dirty coil in the sun
RESTING_F = (-20.0, 140.0)  # a unit at rest takes the temperature of its surroundings
CONDENSING_SLACK_F = 5.0  # gauge and thermometer; nothing condenses below its air
WET_BULB_SLACK_F = 1.0  # two thermometers

_Moment = Mapping[Item, Quantity]


def circuit_objections(
    item: Item, quantity: Quantity, context: ReadingContext
) -> list[Objection]:
    """Find what speaks against a value in view of the others of its moment.

    Parameters
    ----------
    item, quantity
        What was read.
    context
        The other values, the refrigerant and the state of the unit.

    Returns
    -------
    list of Doubtful or Impossible
        Only objections in which the item itself has a part.
    """
    moment: _Moment = {**context.others, item: quantity}
    found = [
        objection
        for check, items in _CHECKS
        if item in items and items <= moment.keys()
        for objection in [check(moment, context)]
        if objection is not None
    ]
    if isinstance(quantity, GaugePressure):
        alone = _pressure_alone(item, quantity, context)
        return found if alone is None else [alone, *found]
    return found


def _gauge(moment: _Moment, item: Item) -> GaugePressure:
    found = moment[item]
    if not isinstance(found, GaugePressure):
        raise TypeError(f"{item} takes a gauge pressure, not {found!r}")
    return found


def _degrees(moment: _Moment, item: Item) -> Temperature:
    found = moment[item]
    if not isinstance(found, Temperature):
        raise TypeError(f"{item} takes a temperature, not {found!r}")
    return found


def _saturation(
    item: Item, gauge: GaugePressure, context: ReadingContext
) -> Temperature | OutsideTable | None:
    pa = gauge.pa + context.ambient.pa
    if context.refrigerant is None or pa < 0:
        return None
    pressure = AbsolutePressure(pa)
    return working_temperature(
        context.properties,
        context.refrigerant,
        "dew" if item == "suction-pressure" else "bubble",
        pressure,
    )


def _pressure_alone(
    item: Item, gauge: GaugePressure, context: ReadingContext
) -> Objection | None:
    if gauge.pa + context.ambient.pa < 0:
        return Impossible(
            reason_id="below-vacuum",
            reason=f"{gauge.psi:.0f} psig is below a perfect vacuum",
        )
    found = _saturation(item, gauge, context)
    if found is None:
        return None
    if isinstance(found, OutsideTable):
        too_high = isinstance(found.low, AbsolutePressure) and (
            gauge.pa + context.ambient.pa > found.low.pa
        )
        # An empty or nearly empty circuit does stand below the table.
        objection = Impossible if too_high else Doubtful
        return objection(reason_id="outside-table", reason=found.reason)
    low, high = _window(item, context)
    if low <= found.f <= high:
        return None
    state = "at rest" if context.running is False else "running"
    return Doubtful(
        reason_id="saturation-unlikely",
        reason=f"{gauge.psi:.0f} psig would be {found.f:.0f} F of saturation; for a "
        f"unit {state} {low:.0f} to {high:.0f} F is usual",
    )


def _window(item: Item, context: ReadingContext) -> tuple[float, float]:
    if context.running is False:
        return RESTING_F
    if context.running is None:  # either may be
        return RESTING_F[0], RUNNING_LIQUID_F[1]
    return RUNNING_SUCTION_F if item == "suction-pressure" else RUNNING_LIQUID_F


def _suction_below_liquid(moment: _Moment, context: ReadingContext) -> Objection | None:
    suction = _gauge(moment, "suction-pressure")
    liquid = _gauge(moment, "liquid-pressure")
    if context.running is not True or suction < liquid:
        return None
    return Impossible(
        reason_id="suction-above-liquid",
        reason=f"suction at {suction.psi:.0f} psig is not below liquid at "
        f"{liquid.psi:.0f} psig, as it is while the compressor runs",
    )


def _wet_below_dry(moment: _Moment, _: ReadingContext) -> Objection | None:
    wet = _degrees(moment, "return-wet-bulb")
    dry = _degrees(moment, "return-dry-bulb")
    if wet.f <= dry.f + WET_BULB_SLACK_F:
        return None
    return Impossible(
        reason_id="wet-above-dry",
        reason=f"a wet bulb of {wet.f:.0f} F cannot be above the dry bulb of "
        f"{dry.f:.0f} F",
    )


def _superheat(moment: _Moment, context: ReadingContext) -> Objection | None:
    if context.running is not True:
        return None
    suction = _gauge(moment, "suction-pressure")
    dew = _saturation("suction-pressure", suction, context)
    if not isinstance(dew, Temperature):
        return None
    value = (_degrees(moment, "suction-line-temperature") - dew).f
    low, high = SUPERHEAT_F
    if low <= value <= high:
        return None
    return Doubtful(
        reason_id="superheat-unlikely",
        reason=f"suction pressure and line would make a superheat of {value:.0f} F; "
        f"{low:.0f} to {high:.0f} F is usual",
    )


def _subcooling(moment: _Moment, context: ReadingContext) -> Objection | None:
    if context.running is not True:
        return None
    liquid = _gauge(moment, "liquid-pressure")
    bubble = _saturation("liquid-pressure", liquid, context)
    if not isinstance(bubble, Temperature):
        return None
    value = (bubble - _degrees(moment, "liquid-line-temperature")).f
    low, high = SUBCOOLING_F
    if low <= value <= high:
        return None
    return Doubtful(
        reason_id="subcooling-unlikely",
        reason=f"liquid pressure and line would make a subcooling of {value:.0f} F; "
        f"{low:.0f} to {high:.0f} F is usual",
    )


def _condensing_above_outdoor(
    moment: _Moment, context: ReadingContext
) -> Objection | None:
    if context.running is not True:
        return None
    liquid = _gauge(moment, "liquid-pressure")
    bubble = _saturation("liquid-pressure", liquid, context)
    outdoor = _degrees(moment, "outdoor-temperature")
    if not isinstance(bubble, Temperature):
        return None
    if bubble.f >= outdoor.f - CONDENSING_SLACK_F:
        return None
    return Doubtful(
        reason_id="condensing-below-outdoor",
        reason=f"liquid pressure would condense at {bubble.f:.0f} F, below the "
        f"outdoor air of {outdoor.f:.0f} F",
    )


_Check = Callable[[_Moment, ReadingContext], Objection | None]

_CHECKS: tuple[tuple[_Check, frozenset[Item]], ...] = (
    (_suction_below_liquid, frozenset({"suction-pressure", "liquid-pressure"})),
    (_wet_below_dry, frozenset({"return-wet-bulb", "return-dry-bulb"})),
    (_superheat, frozenset({"suction-pressure", "suction-line-temperature"})),
    (_subcooling, frozenset({"liquid-pressure", "liquid-line-temperature"})),
    (
        _condensing_above_outdoor,
        frozenset({"liquid-pressure", "outdoor-temperature"}),
    ),
)

from collections.abc import Callable
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.judgements import Believable, Judgement
from companion.knowledge.loading import Knowledge
from companion.knowledge.plausible import WINDOWS, as_read, judge
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    Volume,
    standard_atmosphere,
)
from companion.knowledge.readings import ITEM_TYPES, Item, ReadingContext

Find = Callable[[str], Refrigerant]
PSIG, F, OZ = GaugePressure.from_psi, Temperature.from_f, Mass.from_oz


@pytest.fixture
def context(knowledge: Knowledge) -> ReadingContext:
    """Nothing known but the properties."""
    return ReadingContext(properties=knowledge.properties)


def _id(found: Judgement) -> str:
    return "" if isinstance(found, Believable) else found.reason_id


def test_every_item_has_a_type_and_a_window() -> None:
    items = set(get_args(Item))
    assert items == set(ITEM_TYPES) == set(WINDOWS)
    for window in WINDOWS.values():
        assert window.possible[0] <= window.likely[0] < window.likely[1]
        assert window.likely[1] <= window.possible[1]
        assert window.why


@pytest.mark.parametrize(
    ("item", "quantity"),
    [
        ("suction-pressure", PSIG(118)),
        ("liquid-pressure", PSIG(365)),
        ("suction-line-temperature", F(52)),
        ("liquid-line-temperature", F(97)),
        ("outdoor-temperature", F(95)),
        ("return-dry-bulb", F(76)),
        ("return-wet-bulb", F(63)),
        ("cylinder-weight", OZ(480)),
        ("factory-charge", OZ(96)),
        ("charge-adder", OZ(15)),
        ("target-subcooling", TemperatureDifference.from_f(10)),
        ("line-length", Length.from_ft(40)),
    ],
)
def test_ordinary_readings(
    context: ReadingContext, item: Item, quantity: Quantity
) -> None:
    assert judge(item, quantity, context) == Believable()


@pytest.mark.parametrize(
    ("item", "quantity", "kind"),
    [
        ("liquid-pressure", PSIG(700), "doubtful"),
        ("liquid-pressure", PSIG(1200), "impossible"),
        ("outdoor-temperature", F(10), "doubtful"),
        ("outdoor-temperature", F(180), "impossible"),
        ("return-wet-bulb", F(90), "doubtful"),
        ("factory-charge", OZ(0), "impossible"),
        ("cylinder-weight", OZ(5), "doubtful"),
        ("target-subcooling", TemperatureDifference.from_f(30), "doubtful"),
        ("line-length", Length.from_ft(400), "doubtful"),
    ],
)
def test_windows(
    context: ReadingContext, item: Item, quantity: Quantity, kind: str
) -> None:
    found = judge(item, quantity, context)
    assert found.kind == kind
    assert _id(found) == "outside-window"


@pytest.mark.parametrize(
    ("item", "last", "now", "reason"),
    [
        ("suction-pressure", PSIG(118), PSIG(180), "big-step"),
        ("suction-pressure", PSIG(118), PSIG(131), ""),
        ("outdoor-temperature", F(95), F(75), "big-step"),
        ("cylinder-weight", OZ(480), OZ(478), ""),
        ("cylinder-weight", OZ(480), OZ(200), ""),
        ("cylinder-weight", OZ(480), OZ(481.5), ""),
        ("cylinder-weight", OZ(480), OZ(490), "heavier-cylinder"),
        ("factory-charge", OZ(96), OZ(400), ""),
    ],
)
def test_against_the_last_value(
    knowledge: Knowledge, item: Item, last: Quantity, now: Quantity, reason: str
) -> None:
    context = ReadingContext(properties=knowledge.properties, last={item: last})
    assert _id(judge(item, now, context)) == reason


def test_a_wrong_kind_of_quantity_is_a_bug(context: ReadingContext) -> None:
    with pytest.raises(TypeError, match="takes a GaugePressure"):
        judge("suction-pressure", F(40), context)


def test_what_is_impossible_outweighs_what_is_doubtful(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    context = ReadingContext(
        properties=knowledge.properties,
        refrigerant=refrigerant("R-410A"),
        running=True,
        last={"suction-pressure": PSIG(118)},
        others={"liquid-pressure": PSIG(300)},
    )
    found = judge("suction-pressure", PSIG(300), context)
    assert found.kind == "impossible"


def test_units_it_is_read_in() -> None:
    assert as_read(AbsolutePressure.from_psi(30)) == pytest.approx(30)
    assert as_read(Volume.from_litre(12)) == pytest.approx(12)


@given(st.floats(-14, 790), st.floats(-50, 190), st.booleans())
def test_judging_never_fails(
    knowledge: Knowledge, refrigerant: Find, psig: float, f: float, running: bool
) -> None:
    context = ReadingContext(
        properties=knowledge.properties,
        refrigerant=refrigerant("R-407C"),
        running=running,
        ambient=standard_atmosphere(Length.from_ft(5000)),
        others={
            "suction-line-temperature": F(f),
            "liquid-line-temperature": F(f),
            "liquid-pressure": PSIG(250),
            "outdoor-temperature": F(90),
        },
    )
    for item in ("suction-pressure", "liquid-pressure"):
        found = judge(item, PSIG(psig), context)
        assert found.kind in ("believable", "doubtful", "impossible")

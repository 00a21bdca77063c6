from collections.abc import Callable
from typing import Any

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.plausible_circuit import circuit_objections
from companion.knowledge.quantities import GaugePressure, Quantity, Temperature
from companion.knowledge.readings import Item, ReadingContext

Find = Callable[[str], Refrigerant]
Objections = Callable[..., list[str]]
PSIG, F = GaugePressure.from_psi, Temperature.from_f


@pytest.fixture
def objections(knowledge: Knowledge, refrigerant: Find) -> Objections:
    def find(
        item: Item,
        quantity: Quantity,
        others: dict[Item, Quantity] | None = None,
        **context: Any,
    ) -> list[str]:
        state: dict[str, Any] = {"refrigerant": refrigerant("R-410A"), "running": True}
        made = ReadingContext(
            properties=knowledge.properties, others=others or {}, **(state | context)
        )
        return [
            f"{each.kind} {each.reason_id}"
            for each in circuit_objections(item, quantity, made)
        ]

    return find


def test_a_pressure_is_judged_by_its_refrigerant(
    objections: Objections, refrigerant: Find
) -> None:
    assert objections("suction-pressure", PSIG(118)) == []
    on_r134a = objections(
        "suction-pressure", PSIG(118), refrigerant=refrigerant("R-134a")
    )
    assert on_r134a == ["doubtful saturation-unlikely"]
    assert objections("suction-pressure", PSIG(118), refrigerant=None) == []


@pytest.mark.parametrize(
    ("item", "psig", "expected"),
    [
        ("suction-pressure", -16, ["impossible below-vacuum"]),
        ("suction-pressure", 0, ["doubtful outside-table"]),
        ("liquid-pressure", 700, ["impossible outside-table"]),
        ("suction-pressure", 18, ["doubtful saturation-unlikely"]),
        ("liquid-pressure", 118, ["doubtful saturation-unlikely"]),
        ("liquid-pressure", 365, []),
    ],
)
def test_running_pressures(
    objections: Objections, item: Item, psig: float, expected: list[str]
) -> None:
    assert objections(item, PSIG(psig)) == expected


def test_a_unit_at_rest_takes_the_weather(objections: Objections) -> None:
    for item in ("suction-pressure", "liquid-pressure"):
        assert objections(item, PSIG(201), running=False) == []
        assert objections(item, PSIG(201), running=None) == []
        assert objections(item, PSIG(560), running=False) == [
            "doubtful saturation-unlikely"
        ]


def test_suction_is_below_liquid_while_it_runs(objections: Objections) -> None:
    wrong = ["impossible suction-above-liquid"]
    assert (
        objections("suction-pressure", PSIG(140), {"liquid-pressure": PSIG(300)}) == []
    )
    assert (
        objections("suction-pressure", PSIG(140), {"liquid-pressure": PSIG(140)})
        == wrong
    )
    assert wrong[0] in objections(
        "liquid-pressure", PSIG(118), {"suction-pressure": PSIG(130)}
    )
    at_rest = objections(
        "suction-pressure", PSIG(140), {"liquid-pressure": PSIG(140)}, running=False
    )
    assert at_rest == []


def test_wet_bulb_is_below_dry_bulb(objections: Objections) -> None:
    wrong = ["impossible wet-above-dry"]
    assert objections("return-wet-bulb", F(67), {"return-dry-bulb": F(80)}) == []
    assert objections("return-wet-bulb", F(80.5), {"return-dry-bulb": F(80)}) == []
    assert objections("return-wet-bulb", F(82), {"return-dry-bulb": F(80)}) == wrong
    assert objections("return-dry-bulb", F(60), {"return-wet-bulb": F(67)}) == wrong


def test_superheat_and_subcooling_must_be_possible(objections: Objections) -> None:
    suction: dict[Item, Quantity] = {"suction-pressure": PSIG(118)}
    assert objections("suction-line-temperature", F(52), suction) == []
    for line in (30, 120):
        assert objections("suction-line-temperature", F(line), suction) == [
            "doubtful superheat-unlikely"
        ]
    liquid: dict[Item, Quantity] = {"liquid-pressure": PSIG(365)}
    assert objections("liquid-line-temperature", F(100), liquid) == []
    for line in (60, 130):
        assert objections("liquid-line-temperature", F(line), liquid) == [
            "doubtful subcooling-unlikely"
        ]
    assert objections("suction-line-temperature", F(120), suction, running=False) == []
    assert objections("liquid-line-temperature", F(60), liquid, running=None) == []


def test_nothing_condenses_below_its_air(objections: Objections) -> None:
    outdoor: dict[Item, Quantity] = {"outdoor-temperature": F(95)}
    assert objections("liquid-pressure", PSIG(340), outdoor) == []
    assert objections("liquid-pressure", PSIG(230), outdoor) == [
        "doubtful condensing-below-outdoor"
    ]
    assert objections("liquid-pressure", PSIG(230), outdoor, running=False) == []


def test_only_what_the_item_has_a_part_in(objections: Objections) -> None:
    others: dict[Item, Quantity] = {
        "return-dry-bulb": F(60),
        "return-wet-bulb": F(80),
        "suction-pressure": PSIG(118),
        "liquid-pressure": PSIG(118),
    }
    assert objections("outdoor-temperature", F(40), others) == []


def test_pressures_outside_the_table_spare_the_line(objections: Objections) -> None:
    low: dict[Item, Quantity] = {"suction-pressure": PSIG(0)}
    assert objections("suction-line-temperature", F(60), low) == []
    high: dict[Item, Quantity] = {"liquid-pressure": PSIG(790)}
    assert objections("liquid-line-temperature", F(60), high) == []
    assert objections("outdoor-temperature", F(60), high) == []

"""Saturation pressures against what others print."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import Curve, OutsideTable
from companion.knowledge.quantities import Temperature
from companion.shell.knowledge_files import read_knowledge

GROUPS = tomllib.loads(
    Path(__file__).with_name("saturation.toml").read_text(encoding="utf-8")
)["group"]
CASES = [{**group, **case} for group in GROUPS for case in group["cases"]]


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _temperature(case: dict[str, Any]) -> Temperature:
    if "temperature_f" in case:
        return Temperature.from_f(case["temperature_f"])
    return Temperature.from_c(case["temperature_c"])


def _pressure_kpa(knowledge: Knowledge, case: dict[str, Any]) -> float:
    found = knowledge.catalogue.get(case["refrigerant"])
    assert isinstance(found, Refrigerant)
    curves: tuple[Curve, ...] = (
        ("bubble", "dew") if case["curve"] == "mean" else (case["curve"],)
    )
    pressures = [
        knowledge.properties.saturation_pressure(found, curve, _temperature(case))
        for curve in curves
    ]
    return sum(
        each.kpa for each in pressures if not isinstance(each, OutsideTable)
    ) / len(pressures)


def _tolerance_kpa(case: dict[str, Any]) -> float:
    if "tolerance_kpa" in case and "tolerance_pct" not in case:
        return float(case["tolerance_kpa"])
    return float(case["tolerance_pct"]) / 100 * float(case["pressure_kpa"])


@pytest.mark.parametrize(
    "case", CASES, ids=lambda c: f"{c['refrigerant']}-{c['pressure_kpa']:g}"
)
def test_pressure_is_within_the_print(
    knowledge: Knowledge, case: dict[str, Any]
) -> None:
    found = _pressure_kpa(knowledge, case)
    assert abs(found - case["pressure_kpa"]) <= _tolerance_kpa(case), (
        f"{found:.3f} kPa; {case['source']}, {case['locator']}; "
        f"{case['tolerance_reason']}"
    )


def test_the_normal_points_of_the_catalogue_lie_within_the_stated_error(
    knowledge: Knowledge,
) -> None:
    """ASHRAE Fundamentals 2021, chapter 29, tables 2 and 5, at 101.325 kPa."""
    wrong = []
    checked = 0
    for each in knowledge.catalogue.refrigerants:
        points: tuple[tuple[Curve, Temperature], ...] = (
            ("bubble", each.normal_bubble),
            ("dew", each.normal_dew),
        )
        for curve, point in points:
            found = knowledge.properties.saturation_pressure(each, curve, point)
            if isinstance(found, OutsideTable):
                continue  # colder than the table reaches
            checked += 1
            # Near atmospheric pressure a kelvin is worth 4 to 6 %.
            if abs(found.kpa / 101.325 - 1) > 0.06 * (each.saturation_error.k + 0.05):
                wrong.append((each.designation, curve, found.kpa))
    assert wrong == []
    assert checked > 90


def test_no_case_is_lost() -> None:
    assert len(CASES) == 57
    assert all(group["cases"] for group in GROUPS)

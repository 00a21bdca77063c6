"""Targets and line charges against what makers print."""

import tomllib
from pathlib import Path

import pytest

from companion.knowledge.line_charge import line_charge
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Length, Mass, Temperature
from companion.knowledge.targets import (
    NoGo,
    SuperheatTarget,
    Target,
    linear_superheat,
    target_superheat,
)
from companion.shell.knowledge_files import read_knowledge

DATA = tomllib.loads(
    Path(__file__).with_name("targets.toml").read_text(encoding="utf-8")
)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _target(knowledge: Knowledge, outdoor: float, wet_bulb: float) -> SuperheatTarget:
    return target_superheat(
        knowledge.targets, Temperature.from_f(outdoor), Temperature.from_f(wet_bulb)
    )


@pytest.mark.parametrize(
    ("outdoor", "wet_bulb", "expected"), DATA["superheat_table"]["cells"]
)
def test_printed_cells(
    knowledge: Knowledge, outdoor: float, wet_bulb: float, expected: float
) -> None:
    found = _target(knowledge, outdoor, wet_bulb)
    assert isinstance(found, Target)
    assert found.value.f == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("outdoor", "wet_bulb"), DATA["superheat_table"]["dashes"])
def test_printed_dashes(knowledge: Knowledge, outdoor: float, wet_bulb: float) -> None:
    assert isinstance(_target(knowledge, outdoor, wet_bulb), NoGo)


@pytest.mark.parametrize(
    ("outdoor", "wet_bulb", "expected"), DATA["interpolated"]["cells"]
)
def test_between_cells(
    knowledge: Knowledge, outdoor: float, wet_bulb: float, expected: float
) -> None:
    found = _target(knowledge, outdoor, wet_bulb)
    assert isinstance(found, Target)
    assert abs(found.value.f - expected) <= DATA["interpolated"]["tolerance_f"]


@pytest.mark.parametrize(
    ("outdoor", "wet_bulb", "expected"), DATA["linear_rule"]["cells"]
)
def test_linear_rule(outdoor: float, wet_bulb: float, expected: float) -> None:
    found = linear_superheat(Temperature.from_f(outdoor), Temperature.from_f(wet_bulb))
    assert abs(found.f - expected) <= DATA["linear_rule"]["tolerance_f"]


def test_linear_rule_against_the_whole_table(knowledge: Knowledge) -> None:
    rule, targets = DATA["linear_rule"], knowledge.targets
    off = [
        abs(
            linear_superheat(Temperature.from_f(outdoor), Temperature.from_f(wet)).f
            - cell
        )
        for outdoor, row in zip(targets.outdoor_f, targets.superheat_df, strict=True)
        for wet, cell in zip(targets.return_wet_bulb_f, row, strict=True)
        if cell is not None
    ]
    assert len(off) == rule["filled_cells"]
    mean = sum(off) / len(off)
    assert abs(mean - rule["mean_difference_f"]) <= rule["mean_tolerance_f"]
    share = sum(each <= 2 + 1e-9 for each in off) / len(off)
    assert abs(share - rule["share_within_2_f"]) <= rule["share_tolerance"]


def test_the_linear_rule_is_fooled_where_the_table_is_not(knowledge: Knowledge) -> None:
    for outdoor, wet_bulb in DATA["linear_rule"]["fooled"]:
        rule = linear_superheat(
            Temperature.from_f(outdoor), Temperature.from_f(wet_bulb)
        )
        assert rule.f >= 5 - 1e-9
        assert isinstance(_target(knowledge, outdoor, wet_bulb), NoGo)


@pytest.mark.parametrize(
    ("line", "length_ft", "allowance_oz", "adder_oz"), DATA["line_charge"]["rows"]
)
def test_line_charge(
    knowledge: Knowledge,
    line: str,
    length_ft: float,
    allowance_oz: float,
    adder_oz: float,
) -> None:
    # The guide allows a mass; as a length it is that mass at the same rate.
    included = allowance_oz / knowledge.targets.ounces_per_foot[line]
    found = line_charge(
        knowledge.targets,
        Mass.from_oz(100),
        line,
        Length.from_ft(length_ft),
        Length.from_ft(included),
    )
    assert abs(found.adder.oz - adder_oz) <= DATA["line_charge"]["tolerance_oz"]
    assert found.total.oz == pytest.approx(100 + adder_oz, abs=0.01)

"""Pass-and-fail criteria and global warming potentials as published."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.criteria import (
    judge_split,
    judge_subcooling,
    judge_superheat,
    outdoor_valid,
    saturation_agrees,
    valve_works,
)
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Temperature, TemperatureDifference
from companion.shell.knowledge_files import read_knowledge

DATA = tomllib.loads(
    Path(__file__).with_name("criteria.toml").read_text(encoding="utf-8")
)
RA3, STAR = DATA["ra3"], DATA["energy_star"]
DF = TemperatureDifference.from_f


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


@pytest.mark.parametrize("case", RA3["superheat"])
def test_superheat(knowledge: Knowledge, case: dict[str, Any]) -> None:
    found = judge_superheat(
        DF(case["actual_f"]), DF(case["target_f"]), knowledge.limits, case["by"]
    )
    assert found == case["verdict"]


@pytest.mark.parametrize("case", RA3["subcooling"])
def test_subcooling(knowledge: Knowledge, case: dict[str, Any]) -> None:
    found = judge_subcooling(
        DF(case["actual_f"]), DF(case["target_f"]), knowledge.limits, case["by"]
    )
    assert found == case["verdict"]


@pytest.mark.parametrize("case", RA3["valve_superheat"])
def test_valve(knowledge: Knowledge, case: dict[str, Any]) -> None:
    found = valve_works(DF(case["actual_f"]), knowledge.limits, case["by"])
    assert found is case["works"]


@pytest.mark.parametrize("case", RA3["split"])
def test_split(knowledge: Knowledge, case: dict[str, Any]) -> None:
    found = judge_split(DF(18 + case["off_f"]), DF(18), knowledge.limits)
    assert found == case["verdict"]


@pytest.mark.parametrize("case", RA3["outdoor"])
def test_outdoor(knowledge: Knowledge, case: dict[str, Any]) -> None:
    found = outdoor_valid(Temperature.from_f(case["f"]), knowledge.limits)
    assert found is case["valid"]


def test_settling(knowledge: Knowledge) -> None:
    assert knowledge.limits.settle_final.s == RA3["settle_minutes"] * 60


@pytest.mark.parametrize("case", STAR["superheat"])
def test_rater_superheat(knowledge: Knowledge, case: dict[str, Any]) -> None:
    found = judge_superheat(
        DF(case["actual_f"]), DF(case["target_f"]), knowledge.limits
    )
    assert (found == "pass") is case["passes"]


@pytest.mark.parametrize("case", STAR["saturation_off_f"])
def test_saturation_worked_out_again(
    knowledge: Knowledge, case: dict[str, Any]
) -> None:
    written = Temperature.from_f(40)
    again = Temperature.from_f(40 + case["off_f"])
    assert saturation_agrees(written, again, knowledge.limits) is case["agrees"]


@pytest.mark.parametrize(("designation", "expected"), DATA["gwp"]["rows"])
def test_gwp(knowledge: Knowledge, designation: str, expected: float) -> None:
    found = knowledge.catalogue.get(designation)
    assert isinstance(found, Refrigerant)
    assert abs(found.gwp_ar4 - expected) <= DATA["gwp"]["tolerance"]

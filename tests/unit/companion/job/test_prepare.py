from typing import Any

import pytest

from companion.job.items import AskQuestion, AskStep, DecideMethod
from companion.job.know import Know
from companion.job.prepare import (
    context,
    next_connect,
    next_item,
    next_method,
    next_step,
    unit_refrigerant,
)
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import OZ, F, job_of, method

UNIT: dict[str, Any] = {
    "unit-refrigerant": "R-410A",
    "unit-state": "cooling",
    "metering": "thermostatic",
    "scale": "yes",
}
WEATHER = {
    "outdoor-temperature": F(90),
    "return-wet-bulb": F(66),
}


def walk(
    know: Know,
    phase: Any,
    answers: dict[str, str | Quantity],
    given: dict[str, Any] | None = None,
    **fields: Any,
) -> list[str]:
    """Answer well all that a phase asks for; give the lists and keys in order."""
    known = dict(answers)
    asked: list[str] = []
    while True:
        item = phase(job_of(known, **fields), know)
        match item:
            case AskStep():
                known[item.key] = "done" if item.step.kind == "do" else item.step.good
                asked.append(item.key.partition("/")[0])
            case AskQuestion():
                known[item.key] = (given or {}).get(item.key, "yes")
                asked.append(item.key)
            case _:
                return list(dict.fromkeys(asked))


LISTS = ["site-safety", "pre-checks", "leak", "leak-state"]
TABLE = [
    # how the unit differs, leak -> what is gone through, in order
    ({}, "none-found", [*LISTS, "outdoor-temperature"]),
    (
        {"metering": "fixed-orifice"},
        "none-found",
        [*LISTS, "outdoor-temperature", "return-wet-bulb"],
    ),
    (
        {"unit-refrigerant": "R-32"},
        "none-found",
        ["site-safety", "flammable-safety", *LISTS[1:], "outdoor-temperature"],
    ),
    ({"unit-state": "heating"}, "none-found", [*LISTS, "outdoor-temperature"]),
    ({"unit-state": "evacuated"}, "none-found", ["site-safety", "leak", "leak-state"]),
    ({}, "repaired", [*LISTS, "outdoor-temperature"]),
    (
        {"unit-refrigerant": "R-407C"},
        "repaired",
        [*LISTS, "loss", "outdoor-temperature"],
    ),
    (
        {"unit-refrigerant": "R-407C"},
        "none-found",
        [*LISTS, "outdoor-temperature"],
    ),
    (
        {"unit-refrigerant": "R-407C", "unit-state": "evacuated"},
        "repaired",
        ["site-safety", "leak", "leak-state"],
    ),
    (
        {"unit-refrigerant": "unknown"},
        "none-found",
        ["site-safety", "flammable-safety", *LISTS[1:], "outdoor-temperature"],
    ),
]


@pytest.mark.parametrize(("change", "leak", "order"), TABLE)
def test_what_must_be_complete_before_a_method(
    know: Know, change: dict[str, str], leak: str, order: list[str]
) -> None:
    given = {**WEATHER, "leak-state": leak, "loss": "small"}
    assert walk(know, next_item, {**UNIT, **change}, given) == order


def test_the_method_is_decided_then_agreed(know: Know) -> None:
    assert next_method(job_of(UNIT), know) == DecideMethod()
    asked = next_method(job_of(UNIT, method=method()), know)
    assert isinstance(asked, AskQuestion)
    assert asked.key == "method-agreed"
    agreed = job_of({**UNIT, "method-agreed": "done"}, method=method())
    assert next_method(agreed, know) is None


CONNECT = [
    ("cooling", "yes", "liquid-pulses", ["connect", "cylinder-weight#0"]),
    ("cooling", "no", "liquid-pulses", ["connect"]),
    ("evacuated", "yes", "weigh-in", ["connect", "evacuated", "cylinder-weight#0"]),
]


@pytest.mark.parametrize(("state", "scale", "name", "order"), CONNECT)
def test_hoses_then_the_proof_of_vacuum_then_the_first_weight(
    know: Know, state: str, scale: str, name: str, order: list[str]
) -> None:
    answers = {**UNIT, "unit-state": state, "scale": scale}
    given = {"cylinder-weight#0": OZ(240)}
    assert walk(know, next_connect, answers, given, method=method(name)) == order


CONTEXT = [
    ({}, None, {}),
    ({"unit-refrigerant": "unknown", "metering": "unknown"}, None, {}),
    (
        UNIT,
        None,
        {
            "safety_group": "A1",
            "unit": "running",
            "metering": "thermostatic",
            "scale": "yes",
            "method": "liquid-pulses",
        },
    ),
    (
        {"unit-refrigerant": "R-22", "unit-state": "cooling"},
        None,
        {"safety_group": "A1", "unit": "running", "method": "vapor"},
    ),
    (
        {"unit-refrigerant": "R-32", "unit-state": "evacuated"},
        None,
        {"safety_group": "A2L", "unit": "off", "method": "weigh-in"},
    ),
    (
        {"unit-state": "unknown", "scale": "unknown"},
        method("liquid-restrictor"),
        {"method": "liquid-pulses", "draw": "liquid", "cylinder": "inverted"},
    ),
]


@pytest.mark.parametrize(("answers", "chosen", "known"), CONTEXT)
def test_what_steps_may_depend_on(
    know: Know, answers: dict[str, str], chosen: Any, known: dict[str, str]
) -> None:
    assert context(job_of(answers, method=chosen), know) == known


def test_a_step_is_asked_with_its_revision(know: Know) -> None:
    item = next_step(job_of(UNIT), know, "site-safety")
    assert isinstance(item, AskStep)
    assert item.key == "site-safety/power"
    assert item.revision == know.checklists["site-safety"].revision


@pytest.mark.parametrize("named", [None, "unknown", "R-744", "R-9999"])
def test_a_refrigerant_is_one_of_the_catalogue_or_none(
    know: Know, named: str | None
) -> None:
    answers = {} if named is None else {"unit-refrigerant": named}
    assert unit_refrigerant(job_of(answers), know) is None

from collections.abc import Callable
from typing import Any

import pytest

from companion.job.finish import added, connected, next_item
from companion.job.items import AskQuestion, AskStep, FinishJob
from companion.job.know import Know
from companion.knowledge.quantities import Mass, Quantity
from tests.conftest import SITES, Play, asked_key
from tests.unit.companion.job.conftest import OZ, job_of, method

ENDED = {"charging_ended": "target", "method": method()}


def walk(know: Know, answers: dict[str, str | Quantity], **fields: Any) -> list[str]:
    """Answer all that closing up asks for; give the keys in order."""
    given = dict(answers)
    asked = []
    while True:
        item = next_item(job_of(given, **fields), know)
        match item:
            case AskStep():
                given[item.key] = "done" if item.step.kind == "do" else item.step.good
            case AskQuestion():
                given[item.key] = OZ(200)
            case _:
                assert item == FinishJob(outcome=fields["charging_ended"])
                return asked
        asked.append(item.key)


def test_charging_must_have_ended(know: Know) -> None:
    assert next_item(job_of({"connect/hoses": "yes"}), know) is None


def test_with_hoses_on_it_closes_up_weighs_and_hands_over(know: Know) -> None:
    asked = walk(know, {"connect/hoses": "yes", "scale": "yes"}, **ENDED)
    weight = asked.index("cylinder-weight#end")
    assert asked[0] == "close-out/cylinder-closed"
    assert all(key.startswith("close-out/") for key in asked[:weight])
    assert len(asked[weight + 1 :]) > 0
    assert all(key.startswith("after/") for key in asked[weight + 1 :])


def test_without_a_scale_nothing_is_weighed(know: Know) -> None:
    asked = walk(know, {"connect/hoses": "yes", "scale": "no"}, **ENDED)
    assert "cylinder-weight#end" not in asked


def test_without_hoses_there_is_nothing_to_close_up(know: Know) -> None:
    assert walk(know, {"scale": "yes"}, **ENDED) == []


HOSES = [
    # moment -> whether a hose may be on
    ("scale", False),
    ("method-agreed", False),
    ("connect/hoses", False),
    ("connect/close-and-zero", True),
    ("ready#1", True),
    ("waiting", True),
    ("close-out/cylinder-closed", True),
    ("close-out/hoses-off", True),
    ("close-out/ports-tight", False),
    ("after/follow-up", False),
]


@pytest.mark.parametrize(("key", "on"), HOSES)
def test_from_when_to_when_a_hose_counts_as_on(
    play: Callable[[], Play], key: str, on: bool
) -> None:
    assert connected(play().walk_to(SITES["liquid-pulses"], key).job) is on


def test_hoses_off_taken_back_means_that_they_are_on(play: Callable[[], Play]) -> None:
    job = play().walk_to(SITES["liquid-pulses"], "close-out/ports-tight")
    job.hear("go back")
    assert asked_key(job.job) == "close-out/hoses-off"
    assert connected(job.job)


def test_what_left_the_cylinder_is_the_first_weight_less_the_last() -> None:
    weights = {"cylinder-weight#0": Mass(7.0), "cylinder-weight#end": Mass(6.25)}
    assert added(job_of(weights)) == Mass(0.75)
    for missing in weights:
        rest = {key: value for key, value in weights.items() if key != missing}
        assert added(job_of(rest)) is None

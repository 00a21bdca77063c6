from collections.abc import Callable
from typing import Any

import pytest

from companion.job.evolve import fold
from companion.job.facts import CloseCalled
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Attend,
    Begin,
    Blocked,
    FinishJob,
    Halt,
    Over,
    Pause,
)
from companion.job.know import Know
from companion.job.plan import next_item, phase_name
from companion.job.state import Job, Waiting
from tests.conftest import SITES, Play
from tests.unit.companion.job.conftest import job_of, opening_plan

LIQUID = SITES["liquid-pulses"]
WAITING = Waiting(purpose="settle", until=95.0)


def test_before_it_has_begun_there_is_nothing_to_ask(know: Know) -> None:
    assert next_item(Job(), know) == Begin()


FIRST: list[tuple[dict[str, Any], object]] = [
    ({"halted": "asked"}, Halt(reason="asked")),
    ({"waiting": WAITING}, Pause(waiting=WAITING)),
    ({"halted": "asked", "waiting": WAITING}, Halt(reason="asked")),
    ({"outcome": "target", "halted": "asked"}, Over()),
    ({"charging_ended": "ended-early"}, FinishJob(outcome="ended-early")),
]


@pytest.mark.parametrize(("fields", "item"), FIRST)
def test_what_comes_before_any_phase(
    know: Know, fields: dict[str, Any], item: object
) -> None:
    assert next_item(job_of(**fields), know) == item


@pytest.mark.parametrize("fields", [each for each, _ in FIRST])
def test_a_valve_that_is_not_closed_comes_before_everything(
    know: Know, fields: dict[str, Any]
) -> None:
    for fact in (opening_plan(), CloseCalled(at=1, opening=1, reason="asked")):
        assert next_item(fold([fact], job_of(**fields)), know) == Attend()


PHASES = [
    ("unit-refrigerant", "identify", AskQuestion),
    ("scale", "identify", AskQuestion),
    ("site-safety/power", "prepare", AskStep),
    ("leak-state", "prepare", AskQuestion),
    ("outdoor-temperature", "prepare", AskQuestion),
    ("method-agreed", "method", AskQuestion),
    ("connect/hoses", "connect", AskStep),
    ("cylinder-weight#0", "connect", AskQuestion),
    ("suction-pressure@0", "charge", AskQuestion),
    ("ready#1", "charge", AskReady),
    ("waiting", "charge", Pause),
    ("cylinder-valve-shut@4", "charge", AskQuestion),
    ("close-out/cylinder-closed", "finish", AskStep),
    ("cylinder-weight#end", "finish", AskQuestion),
    ("after/follow-up", "finish", AskStep),
]


@pytest.mark.parametrize(("key", "phase", "item"), PHASES)
def test_the_phases_come_in_order(
    play: Callable[[], Play], know: Know, key: str, phase: str, item: type
) -> None:
    job = play().walk_to(LIQUID, key).job
    assert phase_name(job, know) == phase
    assert isinstance(next_item(job, know), item)


def test_when_it_is_finished_that_is_the_phase(
    play: Callable[[], Play], know: Know
) -> None:
    job = play().walk(LIQUID).job
    assert phase_name(job, know) == "finished"
    assert next_item(job, know) == Over()


@pytest.mark.parametrize("device", ["record", "speaker"])
def test_only_openings_are_blocked_by_a_missing_device(
    play: Callable[[], Play], know: Know, device: str
) -> None:
    for key, blocked in (("ready#1", True), ("scale", False), ("waiting", False)):
        job = play().walk_to(LIQUID, key).job
        without = fold([], Job(**{**_fields(job), "missing": frozenset({device})}))
        assert (next_item(without, know) == Blocked(device=device)) is blocked


def _fields(job: Job) -> dict[str, Any]:
    return {name: getattr(job, name) for name in Job.__dataclass_fields__}

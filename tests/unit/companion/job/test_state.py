import dataclasses

import pytest

from companion.job import state
from companion.job.state import Closed, Job


def test_a_new_job_is_closed_unbegun_and_empty() -> None:
    job = Job()
    assert (job.started, job.finished) == (False, False)
    assert job.valve == Closed()
    assert dict(job.answers) == {}


def test_begun_and_finished() -> None:
    assert Job(id="j1").started
    assert Job(id="j1", outcome="target").finished


def test_answers_cannot_be_changed_in_place() -> None:
    with pytest.raises(TypeError):
        Job().answers["scale"] = None  # type: ignore[index]


def test_every_record_is_frozen() -> None:
    records = [
        each
        for each in vars(state).values()
        if dataclasses.is_dataclass(each) and each.__module__ == state.__name__
    ]
    assert len(records) == 10
    assert all(each.__dataclass_params__.frozen for each in records)

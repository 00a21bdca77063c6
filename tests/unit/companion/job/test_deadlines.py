from typing import Any

import pytest

from companion.job.deadlines import next_deadline
from companion.job.pulses import REPEAT_S
from companion.job.state import Asked, Closing, Open, Opening, Waiting
from tests.unit.companion.job.conftest import job_of

PLAN = Opening(
    number=1,
    called_at=100.0,
    planned_s=6.0,
    limit_s=15.0,
    silence_s=8.0,
    base=None,
    ceiling=None,
    stop_weight=None,
    heard_at=104.0,
)
CLOSING = Closing(
    number=1,
    called_at=120.0,
    repeated_at=122.0,
    repeats=1,
    reason="planned",
    open_s=5.0,
    base=None,
    peak=None,
)
ASKED = Asked(key="scale", expects="yes-no", tries=1, heard_at=50.0)
WAITING = Waiting(purpose="settle", until=175.0)

TABLE: list[tuple[dict[str, Any], float | None]] = [
    ({}, None),
    ({"asked": ASKED}, 80.0),
    ({"waiting": WAITING}, 175.0),
    ({"waiting": WAITING, "asked": ASKED, "halted": "asked"}, 80.0),
    ({"valve": PLAN}, 108.5),
    ({"valve": PLAN, "waiting": WAITING, "asked": ASKED}, 108.5),
    ({"valve": Open(plan=PLAN, opened_at=103.0, heard_at=103.0)}, 107.0),
    ({"valve": Open(plan=PLAN, opened_at=109.9, heard_at=100.0)}, 108.0),
    ({"valve": CLOSING}, 122.0 + REPEAT_S),
    ({"valve": CLOSING, "halted": "asked", "outcome": "target"}, 122.0 + REPEAT_S),
    ({"outcome": "target", "asked": ASKED}, None),
]


@pytest.mark.parametrize(("fields", "due"), TABLE)
def test_when_the_engine_must_be_woken(
    fields: dict[str, Any], due: float | None
) -> None:
    assert next_deadline(job_of(**fields)) == due

from typing import Any

import pytest

from companion.job.evolve import fold
from companion.job.facts import CloseCalled, Fact, OpenReported, OptionAnswer
from companion.job.listening import expected_now
from companion.job.state import Asked, Pending
from tests.unit.companion.job.conftest import job_of, opening_plan

ASKED = Asked(key="scale", expects="yes-no", tries=1, heard_at=0)
VALUE = Pending(
    key="metering", answer=OptionAnswer(option="cooling"), words="", doubt=""
)
WORD = Pending(key="scale", answer=OptionAnswer(option="yes"), words="", doubt="unsure")
RUNNING, OFF = opening_plan(), opening_plan(ceiling=None)
SAID_OPEN = OpenReported(at=103, opening=1)
CALLED = CloseCalled(at=110, opening=1, reason="planned")
TABLE: list[tuple[dict[str, Any], list[Fact], tuple[str, ...]]] = [
    ({}, [], ("nothing",)),
    ({"asked": ASKED}, [], ("yes-no",)),
    ({"asked": ASKED, "pending": VALUE}, [], ("read-back", "yes-no")),
    ({"asked": ASKED, "pending": WORD}, [], ("yes-no",)),
    ({}, [RUNNING], ("open-suction",)),
    ({}, [RUNNING, SAID_OPEN], ("open-suction",)),
    ({}, [OFF], ("open-weight",)),
    ({}, [OFF, SAID_OPEN], ("open-weight",)),
    ({}, [RUNNING, CALLED], ("valve-closed",)),
]


@pytest.mark.parametrize(("fields", "facts", "expects"), TABLE)
def test_what_is_listened_for(
    fields: dict[str, Any], facts: list[Fact], expects: tuple[str, ...]
) -> None:
    assert expected_now(fold(facts, job_of(**fields))) == expects

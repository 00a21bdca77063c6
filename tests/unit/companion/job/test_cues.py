from typing import get_args

from companion.job.cues import CUES
from companion.job.facts import CloseReason, WaitPurpose


def test_every_reason_to_close_has_a_cue_without_values() -> None:
    """A close call must never wait for something to be filled in."""
    for reason in (*get_args(CloseReason), "again", "alarm"):
        assert CUES[f"close-{reason}"] == ()


def test_every_wait_has_a_cue() -> None:
    for purpose in get_args(WaitPurpose):
        assert CUES[f"wait-{purpose}"] == ("seconds",)


def test_the_table_cannot_be_changed() -> None:
    assert not hasattr(CUES, "__setitem__")

from collections.abc import Callable

import pytest

from companion.job.know import Know
from companion.job.repeating import repeat
from companion.job.turn import Turn
from tests.conftest import SITES, Play, asks, cues

LIQUID = SITES["liquid-pulses"]


@pytest.mark.parametrize(
    ("key", "cue", "expects"),
    [
        ("metering", "ask", "metering"),
        ("site-safety/power", "step", "yes-no"),
        ("site-safety/protection", "step", "done"),
        ("ready#2", "ready-pulse", "ready"),
        ("waiting", "waiting", "waiting"),
    ],
)
def test_what_stands_is_said_again(
    play: Callable[[], Play], know: Know, key: str, cue: str, expects: str
) -> None:
    job = play().walk_to(LIQUID, key).job
    turn = Turn(job, job.at, know)
    repeat(turn)
    assert (cues(turn.decision())[-1:], asks(turn.decision())) == ([cue], [expects])
    assert turn.decision().facts == ()


def test_a_read_back_comes_before_its_question(
    play: Callable[[], Play], know: Know
) -> None:
    job = play().walk_to(LIQUID, "metering")
    job.hear("fixed orifice", sure=False)
    turn = Turn(job.job, job.at, know)
    repeat(turn)
    assert cues(turn.decision()) == ["read-back"]


def test_at_an_open_valve_nothing_stands(play: Callable[[], Play], know: Know) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == "open").job
    turn = Turn(job, job.at, know)
    repeat(turn)
    assert turn.decision().outputs == ()

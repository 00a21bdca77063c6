from collections.abc import Callable

import pytest

from companion.job.inputs import Ticked
from companion.job.outputs import Light, Tone
from companion.job.silence import STEPS_S, silence_due
from companion.job.state import Asked
from tests.conftest import SITES, Play, asks, cues
from tests.unit.companion.job.conftest import job_of

LIQUID = SITES["liquid-pulses"]
PROMPT, WARNING, ALARM = STEPS_S


def test_a_silent_technician_is_prompted_warned_and_called_for(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "metering")
    then = job.at
    said = [(job.tick(), job.at - then) for _ in range(5)]
    assert [moment for _, moment in said] == [
        PROMPT,
        PROMPT + WARNING,
        PROMPT + WARNING + ALARM,
        PROMPT + WARNING + 2 * ALARM,
        PROMPT + WARNING + 3 * ALARM,
    ]
    assert [cues(decision) for decision, _ in said] == [
        ["silence", "ask"],
        ["silence-warning"],
        ["silence-alarm"],
        ["silence-alarm"],
        ["silence-alarm"],
    ]
    assert {asks(decision)[0] for decision, _ in said} == {"metering"}


def test_warning_and_alarm_show_and_sound(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "metering")
    job.tick()
    warning, alarm = job.tick(), job.tick()
    for decision, pattern, tone in (
        (warning, "blink", "caution"),
        (alarm, "fast", "danger"),
    ):
        assert Light(lamp="attention", pattern=pattern) in decision.outputs
        assert Tone(pattern=tone) in decision.outputs


@pytest.mark.parametrize("word", ["status", "mumble", "say again"])
def test_any_word_starts_it_anew(play: Callable[[], Play], word: str) -> None:
    job = play().walk_to(LIQUID, "metering")
    job.tick()
    job.tick()
    job.hear(word)
    assert silence_due(job.job) == job.at + PROMPT


def test_too_early_is_no_silence(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "metering")
    assert job.give(Ticked(at=job.at + PROMPT - 0.1)).facts == ()


def test_a_halt_is_watched_too(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "metering")
    job.hear("stop")
    assert cues(job.tick()) == ["silence", "halted"]


@pytest.mark.parametrize("key", ["waiting", "over"])
def test_no_answer_is_due_where_none_is_asked_for(key: str) -> None:
    asked = Asked(key=key, expects="nothing", tries=1, heard_at=0)
    assert silence_due(job_of(asked=asked)) is None


def test_an_open_valve_has_its_own_watch(play: Callable[[], Play]) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == "closing")
    decision = job.give(Ticked(at=job.at + 500))
    assert "silence" not in " ".join(cues(decision))

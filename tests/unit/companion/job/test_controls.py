from collections.abc import Callable

import pytest

from companion.job.facts import Continued, Halted, WentBack
from companion.job.inputs import SaidControl
from companion.job.outputs import Say
from companion.job.state import Closed, Closing
from tests.conftest import SITES, Play, asked_key, asks, cues, kinds

LIQUID = SITES["liquid-pulses"]


def at(play: Callable[[], Play], moment: str) -> Play:
    """Bring a job to a moment: a key, or the state of the valve."""
    job = play()
    if moment == "halted":
        job.walk_to(LIQUID, "metering")
        job.press("stop")
        return job
    if moment in ("opening", "open", "closing"):
        return job.walk(LIQUID, lambda now: now.valve.kind == moment)
    return job.walk_to(LIQUID, moment)


EVERYWHERE = ["metering", "ready#1", "opening", "open", "closing", "waiting", "halted"]


@pytest.mark.parametrize("moment", EVERYWHERE)
@pytest.mark.parametrize("press", [False, True])
def test_stop_halts_at_every_moment(
    play: Callable[[], Play], moment: str, press: bool
) -> None:
    job = at(play, moment)
    decision = job.press("stop") if press else job.hear("emergency stop", sure=False)
    assert job.job.halted == "asked"
    hoses = moment in ("ready#1", "opening", "open", "closing", "waiting")
    assert isinstance(job.job.valve, Closing if hoses else Closed)
    assert any(each.urgent for each in decision.outputs) == hoses


@pytest.mark.parametrize("moment", EVERYWHERE)
def test_close_is_a_close_call_wherever_a_hose_is_on(
    play: Callable[[], Play], moment: str
) -> None:
    job = at(play, moment)
    decision = job.hear("close the valve", sure=False)
    if moment in ("metering", "halted"):
        assert isinstance(job.job.valve, Closed)
        assert cues(decision) == ["nothing-to-close"]
        return
    assert isinstance(job.job.valve, Closing)
    assert cues(decision)[0] in ("close-asked", "close-again")


@pytest.mark.parametrize("moment", EVERYWHERE)
def test_noise_halts_and_closes_where_a_hose_is_on(
    play: Callable[[], Play], moment: str
) -> None:
    job = at(play, moment)
    job.said(SaidControl(word="noise"))
    hoses = moment not in ("metering", "halted")
    assert isinstance(job.job.valve, Closing if hoses else Closed)
    assert job.job.halted in ("noise", "asked")


def test_stop_is_remembered_once(play: Callable[[], Play]) -> None:
    job = at(play, "metering")
    assert Halted(at=job.at + 1, reason="asked") in job.hear("stop").facts
    assert kinds(job.hear("stop")) == []


WORDS = [
    # moment, word -> cues
    ("metering", "say again", ["ask"]),
    ("metering", "why", ["why"]),
    ("metering", "status", ["status"]),
    ("metering", "help", ["help"]),
    ("site-safety/power", "say again", ["step"]),
    ("site-safety/power", "why", ["because"]),
    ("site-safety/power", "status", ["status"]),
    ("ready#1", "say again", ["valve-words", "ready-slow"]),
    ("ready#1", "why", ["why"]),
    ("waiting", "say again", ["waiting"]),
    ("waiting", "why", ["why"]),
    ("halted", "say again", ["halted"]),
    ("halted", "why", ["why"]),
    ("opening", "say again", ["valve-open"]),
    ("open", "help", ["help"]),
    ("open", "why", ["why"]),
    ("open", "status", ["status-valve", "status-open"]),
    ("closing", "say again", ["close-again"]),
    ("closing", "why", ["close-again"]),
    ("closing", "status", ["close-again"]),
    ("closing", "help", ["close-again"]),
]


@pytest.mark.parametrize(("moment", "word", "said"), WORDS)
def test_what_is_explained(
    play: Callable[[], Play], moment: str, word: str, said: list[str]
) -> None:
    job = at(play, moment)
    before = job.job.asked
    decision = job.hear(word)
    assert cues(decision) == said
    assert kinds(decision)[0] == "explained"
    assert (job.job.asked is None) == (before is None)


VALUES = [
    ("metering", "status", {"phase": "identify", "valve": "closed", "key": "metering"}),
    (
        "site-safety/power",
        "status",
        {"phase": "prepare", "valve": "closed", "key": "step"},
    ),
    ("open", "status", {"valve": "open"}),
    ("open", "help", {"expects": "open-suction"}),
    ("open", "why", {"key": "valve"}),
    ("suction-pressure@0", "why", {"key": "suction-pressure"}),
    ("waiting", "help", {"expects": "waiting"}),
]


@pytest.mark.parametrize(("moment", "word", "values"), VALUES)
def test_with_what_it_is_explained(
    play: Callable[[], Play], moment: str, word: str, values: dict[str, str]
) -> None:
    said = at(play, moment).hear(word).outputs[0]
    assert isinstance(said, Say)
    assert dict(said.values) == values


def test_say_again_repeats_a_read_back(play: Callable[[], Play]) -> None:
    job = at(play, "suction-pressure@0")
    job.hear("one two zero", sure=False)
    assert cues(job.hear("say again")) == ["read-back"]


def test_back_takes_the_latest_answer_back(play: Callable[[], Play]) -> None:
    job = at(play, "factory-charge")
    decision = job.hear("go back")
    assert decision.facts[0] == WentBack(at=job.at, key="metering")
    assert cues(decision) == ["went-back", "ask"]
    assert asked_key(job.job) == "metering"


def test_back_at_a_read_back_only_takes_that_back(play: Callable[[], Play]) -> None:
    job = at(play, "suction-pressure@0")
    job.hear("one two zero", sure=False)
    answers = job.job.answers
    assert kinds(job.hear("go back"))[0] == "answer-denied"
    assert job.job.answers == answers
    assert asked_key(job.job) == "suction-pressure@0"


def test_there_is_no_way_back_behind_an_opening(play: Callable[[], Play]) -> None:
    job = at(play, "waiting")
    decision = job.hear("go back")
    assert cues(decision) == ["cannot-go-back"]
    assert decision.facts == ()


def test_there_is_no_way_back_before_the_first_answer(
    play: Callable[[], Play],
) -> None:
    assert cues(play().hear("go back")) == ["cannot-go-back"]


def test_back_with_the_valve_open_is_a_close_call(play: Callable[[], Play]) -> None:
    assert cues(at(play, "open").hear("go back")) == ["close-asked"]


def test_back_while_halted_ends_the_halt(play: Callable[[], Play]) -> None:
    job = at(play, "halted")
    job.hear("go back")
    assert job.job.halted is None
    assert asked_key(job.job) == "unit-state"


def test_back_over_an_answer_of_the_method_takes_the_method_back(
    play: Callable[[], Play],
) -> None:
    job = at(play, "method-agreed")
    assert job.job.method is not None
    job.hear("go back")
    assert job.job.method is None
    assert asked_key(job.job) == "outdoor-temperature"


@pytest.mark.parametrize("word", ["i am ready", "affirmative"])
def test_ready_opens(play: Callable[[], Play], word: str) -> None:
    job = at(play, "ready#1")
    decision = job.hear(word) if word == "i am ready" else job.press("confirm")
    assert kinds(decision) == ["answer-accepted", "open-called"]
    assert cues(decision) == ["open-now"]
    assert asks(decision) == ["open-suction"]


def test_wait_leaves_it_closed(play: Callable[[], Play]) -> None:
    job = at(play, "ready#1")
    assert cues(job.hear("wait")) == ["not-ready"]
    assert isinstance(job.job.valve, Closed)
    assert asked_key(job.job) == "ready#1"


@pytest.mark.parametrize("word", ["continue", "go ahead"])
def test_continue_goes_on_after_a_stop(play: Callable[[], Play], word: str) -> None:
    job = at(play, "halted")
    decision = job.hear(word)
    assert decision.facts[0] == Continued(at=job.at)
    assert cues(decision) == ["going-on", "ask"]


def test_nothing_but_the_right_words_ends_a_halt(play: Callable[[], Play]) -> None:
    job = at(play, "halted")
    for word in ("done", "no", "wait", "ready", "unknown"):
        job.said(SaidControl(word=word))
        assert job.job.halted == "asked"


CONFIRMS = [
    # moment -> first fact, first cue
    ("metering", "answer-refused", "not-an-answer"),
    ("scale", "answer-accepted", "step"),
    ("method-agreed", "answer-accepted", "step"),
    ("site-safety/power", "step-answered", "step"),
    ("site-safety/protection", "step-answered", "step"),
    ("ready#1", "answer-accepted", "open-now"),
    ("halted", "continued", "going-on"),
    ("opening", "open-reported", ""),
    ("closing", "close-reported", "closed-heard"),
]


@pytest.mark.parametrize(("moment", "fact", "cue"), CONFIRMS)
def test_what_the_confirm_button_means(
    play: Callable[[], Play], moment: str, fact: str, cue: str
) -> None:
    decision = at(play, moment).press("confirm")
    assert kinds(decision)[0] == fact
    assert (cues(decision) or [""])[0] == cue


def test_the_confirm_button_settles_a_read_back(play: Callable[[], Play]) -> None:
    job = at(play, "suction-pressure@0")
    job.hear("one two zero", sure=False)
    job.press("confirm")
    assert "suction-pressure@0" in job.job.answers


def test_the_confirm_button_says_again_what_stands_in_a_wait(
    play: Callable[[], Play],
) -> None:
    assert cues(at(play, "waiting").press("confirm")) == ["waiting"]


@pytest.mark.parametrize(
    ("moment", "cue"),
    [
        ("metering", "already-closed"),
        ("waiting", "already-closed"),
        ("opening", "close-reported"),
        ("open", "close-reported"),
        ("closing", "closed-heard"),
    ],
)
def test_what_the_closed_button_means(
    play: Callable[[], Play], moment: str, cue: str
) -> None:
    assert cues(at(play, moment).press("closed"))[0] == cue


def test_the_talk_button_opens_the_dial(play: Callable[[], Play]) -> None:
    assert cues(at(play, "metering").press("talk")) == ["dial-open"]


def test_after_the_end_everything_is_over(play: Callable[[], Play]) -> None:
    job = play().walk(LIQUID)
    for word in ("stop", "say again", "status", "why", "help"):
        decision = job.hear(word)
        assert cues(decision) == ["over"]
        assert decision.facts == ()


def test_a_hose_stays_on_when_its_steps_are_taken_back(
    play: Callable[[], Play],
) -> None:
    """Going back is for answers; it takes no hose off."""
    job = at(play, "connect/purge")
    while job.job.order[-1] != "method-agreed":
        job.hear("go back")
    assert asked_key(job.job) == "connect/hoses"
    assert cues(job.hear("close"))[0] == "close-asked"

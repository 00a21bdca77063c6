"""Urgent before the record, ordinary after it, and a close call whatever breaks."""

import logging
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest

from companion.job.evolve import fold
from companion.job.facts import Fact
from companion.job.inputs import (
    Begun,
    DeviceLost,
    Heard,
    Pressed,
    SaidControl,
    SaidName,
    SaidQuantity,
    Ticked,
)
from companion.job.know import Know
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.state import Closed, Closing, Job, Opening
from companion.knowledge.quantities import GaugePressure
from companion.shell.loop import FAULT_REPEAT_S, RETRY_S, Loop
from companion.shell.record import NoRecord
from companion.shell.wording import Line, Wording
from tests.conftest import SEA_LEVEL, SITES, Play, asked_key

LIQUID = SITES["liquid-pulses"]


class Stage:
    """Keeps what is performed, by cue, lamp, tone or expectation."""

    def __init__(self, log: list[str]) -> None:
        self.log = log
        self.at = 0.0
        self.broken: set[str] = set()

    def _perform(self, at: float, kind: str, what: str) -> None:
        self.at = at
        if kind in self.broken:
            raise RuntimeError(f"the {kind} is broken")
        self.log.append(f"{kind} {what}")

    def say(self, at: float, cue: Say, line: Line) -> None:
        assert line.text
        self._perform(at, "say", cue.cue)

    def light(self, at: float, light: Light) -> None:
        self._perform(at, "light", light.pattern)

    def tone(self, at: float, tone: Tone) -> None:
        self._perform(at, "tone", tone.pattern)

    def ask(self, at: float, ask: Ask, job: Job) -> None:
        assert job.started
        self._perform(at, "ask", ask.expectation)


class StuckRecord:
    """A record whose card is slow, or fails, until it is told otherwise."""

    def __init__(self, log: list[str]) -> None:
        self.log = log
        self.written = 0
        self.trouble: str | None = None
        self.stuck = False
        self.tickets = 0
        self.retries = 0

    def write(self, job: str, facts: Sequence[Fact]) -> int:
        assert job == "j1"
        self.log.append("write " + ",".join(fact.kind for fact in facts))
        self.tickets += 1
        if not self.stuck:
            self.written = self.tickets
        return self.tickets

    def retry(self) -> None:
        self.retries += 1

    def close(self) -> None:
        pass


class Rig:
    """A loop with its stage and record, brought to a moment of a job."""

    def __init__(self, know: Know, wording: Wording, job: Job | None) -> None:
        self.log: list[str] = []
        self.stage = Stage(self.log)
        self.record = StuckRecord(self.log)
        self.seen: list[Fact] = []
        self.loop = Loop(
            know=know,
            wording=wording,
            record=self.record,
            stage=self.stage,
            job=job,
            seen=lambda _, facts: self.seen.extend(facts),
        )
        self.at = 0.0 if job is None else job.at

    def step(self, event: Any) -> list[str]:
        """Take an input; give what happened, in order."""
        self.log.clear()
        self.loop.step(event)
        self.at = max(self.at, event.at)
        return list(self.log)

    def say(self, word: str) -> list[str]:
        said = SaidControl(word=word)
        return self.step(Heard(at=self.at + 1, said=said, words=word, sure=True))

    def wake(self) -> list[str]:
        due = self.loop.deadline
        assert due is not None
        self.at = max(self.at, due)
        return self.step(Ticked(at=self.at))


@pytest.fixture
def at(know: Know, wording: Wording, play: Callable[[], Play]) -> Callable[[str], Rig]:
    """Bring a job to a key, or a state of the valve, and put it into a loop."""

    def bring(moment: str) -> Rig:
        if not moment:
            return Rig(know, wording, None)
        played = play()
        if moment in ("opening", "open", "closing"):
            played.walk(LIQUID, lambda job: job.valve.kind == moment)
        else:
            played.walk_to(LIQUID, moment)
        return Rig(know, wording, played.job)

    return bring


CALL = ["say close-asked", "light blink", "tone danger"]
FAULT = ["say close-fault", "light fast", "tone danger"]


def test_ordinary_words_come_after_the_record(at: Callable[[str], Rig]) -> None:
    rig = at("")
    assert rig.step(Begun(at=0, job="j1", ambient=SEA_LEVEL)) == [
        "write job-started,question-asked",
        "say welcome",
        "say ask",
        "ask refrigerant",
    ]
    assert fold(rig.seen) == rig.loop.job


def test_a_close_call_comes_before_the_record(at: Callable[[str], Rig]) -> None:
    assert at("open").say("close") == [
        *CALL,
        "write close-called",
        "ask valve-closed",
    ]


def test_an_input_without_facts_is_no_decision_to_wait_for(
    at: Callable[[str], Rig],
) -> None:
    rig = at("scale")
    assert rig.step(Ticked(at=rig.at)) == ["write "]
    assert not rig.loop.holding


def test_a_slow_card_holds_ordinary_words_back_and_no_close_call(
    at: Callable[[str], Rig],
) -> None:
    rig = at("open")
    rig.record.stuck = True
    assert rig.say("close") == [*CALL, "write close-called"]
    for _ in range(4):
        assert rig.wake()[:3] in (
            ["say close-again", "light blink", "tone danger"],
            ["say close-again", "light fast", "tone danger"],
            ["say close-alarm", "light fast", "tone danger"],
        )
    assert "say closed-heard" not in rig.say("closed")
    assert rig.loop.holding
    rig.record.written = rig.record.tickets
    rig.log.clear()
    rig.loop.release(rig.at)
    assert "say closed-heard" in rig.log
    assert rig.log[0] == "ask valve-closed"
    assert not rig.loop.holding


def test_words_are_released_only_as_far_as_the_card_has_got(
    at: Callable[[str], Rig],
) -> None:
    rig = at("metering")
    rig.record.stuck = True
    rig.say("status")
    rig.say("help")
    rig.record.written = 1
    rig.log.clear()
    rig.loop.release(rig.at)
    assert "say status" in rig.log
    assert "say help" not in rig.log


def test_a_record_that_fails_while_the_valve_is_open_is_a_close_call(
    at: Callable[[str], Rig],
) -> None:
    rig = at("open")
    rig.record.trouble = "the card is full"
    assert rig.loop.record_changed
    happened = rig.step(Ticked(at=rig.at))
    assert happened[:4] == [
        "say close-device",
        "light blink",
        "tone danger",
        "say device-lost",
    ]
    assert isinstance(rig.loop.job.valve, Closing)
    assert rig.loop.job.missing == {"record"}
    assert not rig.loop.record_changed


def test_nothing_opens_until_the_record_works_again(at: Callable[[str], Rig]) -> None:
    rig = at("ready#1")
    rig.record.trouble = "the card is full"
    rig.step(Ticked(at=rig.at))
    assert asked_key(rig.loop.job) == "blocked"
    for _ in range(3):
        rig.say("ready")
        rig.step(Pressed(at=rig.at, button="confirm"))
        assert rig.loop.job.valve == Closed()
    rig.record.trouble = None
    happened = rig.step(Ticked(at=rig.at))
    assert "say device-found" in happened
    assert rig.loop.job.missing == frozenset()
    rig.say("ready")
    assert isinstance(rig.loop.job.valve, Opening)


def test_a_record_that_fails_is_tried_again_in_time(at: Callable[[str], Rig]) -> None:
    rig = at("scale")
    rig.record.trouble = "the card is full"
    rig.step(Ticked(at=rig.at))
    tried = rig.at
    for number in range(1, 5):
        assert rig.record.retries == number
        assert rig.loop.deadline == tried + number * RETRY_S
        rig.step(Ticked(at=rig.at + RETRY_S / 2))
        assert rig.record.retries == number
        rig.step(Ticked(at=rig.at + RETRY_S / 2))


def test_words_held_when_the_record_failed_are_not_said_late(
    at: Callable[[str], Rig],
) -> None:
    rig = at("scale")
    rig.record.stuck = True
    rig.say("status")
    rig.record.trouble = "the card is full"
    rig.step(Ticked(at=rig.at))
    rig.record.trouble, rig.record.stuck = None, False
    happened = rig.step(Ticked(at=rig.at))
    assert "say status" not in happened
    assert "say ask" in happened


def test_the_lamp_goes_out_when_the_valve_is_closed_card_or_no_card(
    at: Callable[[str], Rig],
) -> None:
    """A lamp that goes on calling "close" would be believed no more."""
    rig = at("closing")
    rig.record.trouble = "the card is full"
    rig.step(Ticked(at=rig.at))
    happened = rig.say("closed")
    assert rig.loop.job.valve == Closed()
    rig.record.trouble = None
    happened += rig.step(Ticked(at=rig.at))
    assert "light off" in happened


def test_while_the_record_is_missing_that_is_said_again_and_again(
    at: Callable[[str], Rig],
) -> None:
    rig = at("scale")
    rig.record.trouble = "the card is full"
    rig.step(Ticked(at=rig.at))
    said = []
    for _ in range(120):
        rig.wake()
        said += [each for each in rig.log if each.startswith("say")]
    assert len(said) > 2
    assert set(said) == {"say blocked"}


@pytest.fixture
def quiet() -> Iterator[None]:
    """Keep the traces of faults made on purpose out of the output."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


BREAKING = [
    Heard(at=500.0, said=SaidControl(word="yes"), words="", sure=True),
    Heard(at=500.0, said=SaidName(designation="R-22"), words="", sure=True),
    Heard(at=500.0, said=SaidQuantity(quantity=GaugePressure(1)), words="", sure=True),
    Pressed(at=500.0, button="confirm"),
    Ticked(at=5000.0),
    DeviceLost(at=500.0, device="speaker"),
]


@pytest.mark.usefixtures("quiet")
@pytest.mark.parametrize("event", BREAKING)
@pytest.mark.parametrize("moment", ["site-safety/power", "ready#1"])
def test_a_fault_of_the_program_is_a_close_call_again_and_again(
    at: Callable[[str], Rig], moment: str, event: Any
) -> None:
    rig = at(moment)
    rig.loop.know = None
    before = rig.loop.job
    happened = rig.step(event)
    assert happened[-3:] == FAULT
    assert rig.loop.faulted
    assert rig.loop.job == before
    for _ in range(3):
        assert rig.loop.deadline == rig.at + FAULT_REPEAT_S
        assert rig.wake() == FAULT


@pytest.mark.usefixtures("quiet")
def test_after_a_fault_nothing_opens_until_a_restart(at: Callable[[str], Rig]) -> None:
    rig = at("ready#1")
    know = rig.loop.know
    rig.loop.know = None
    rig.say("status")
    rig.loop.know = know
    for word in ("ready", "continue", "closed", "ready"):
        happened = rig.say(word)
        assert happened in ([], FAULT)
        assert rig.loop.job.valve == Closed()
    assert rig.loop.faulted


@pytest.mark.usefixtures("quiet")
def test_a_fault_while_the_record_fails_is_caught_too(
    at: Callable[[str], Rig],
) -> None:
    rig = at("site-safety/power")
    rig.loop.know = None
    rig.record.trouble = "the card is full"
    assert rig.step(Ticked(at=rig.at))[-3:] == FAULT
    rig.record.trouble = None
    assert rig.wake() == FAULT
    assert rig.loop.deadline > rig.at


@pytest.mark.usefixtures("quiet")
@pytest.mark.parametrize("broken", ["say", "light", "tone"])
def test_voice_lamp_and_tone_do_not_depend_on_one_another(
    at: Callable[[str], Rig], broken: str
) -> None:
    rig = at("open")
    rig.stage.broken = {broken}
    happened = rig.say("close")
    kept = [each for each in CALL if not each.startswith(broken)]
    assert happened[:2] == kept
    assert isinstance(rig.loop.job.valve, Closing)
    assert "write close-called" in happened


@pytest.mark.usefixtures("quiet")
@pytest.mark.parametrize("broken", ["say", "light", "tone"])
def test_nor_after_a_fault(at: Callable[[str], Rig], broken: str) -> None:
    rig = at("site-safety/power")
    rig.stage.broken = {broken}
    rig.loop.know = None
    assert rig.say("yes") == [each for each in FAULT if not each.startswith(broken)]


def test_the_deadline_is_the_jobs_own(at: Callable[[str], Rig]) -> None:
    rig = at("scale")
    assert rig.loop.deadline == rig.at + 30.0
    assert at("").loop.deadline is None


def test_waking_is_a_tick(know: Know, wording: Wording) -> None:
    log: list[str] = []
    loop = Loop(know=know, wording=wording, record=NoRecord(), stage=Stage(log))
    loop.step(Begun(at=0, job="j1", ambient=SEA_LEVEL))
    log.clear()
    loop.wake(30.0)
    assert log == ["say silence", "say ask", "ask refrigerant"]


def test_a_lamp_held_back_by_a_slow_card_is_not_forgotten_when_it_fails(
    at: Callable[[str], Rig],
) -> None:
    rig = at("closing")
    rig.record.stuck = True
    happened = rig.say("closed")
    rig.record.trouble = "the card is full"
    happened += rig.step(Ticked(at=rig.at))
    rig.record.trouble, rig.record.stuck = None, False
    happened += rig.step(Ticked(at=rig.at))
    assert "light off" in happened

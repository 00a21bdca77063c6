"""A whole job by presses alone, and what the buttons never do."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.job.dial import LEAVE, MINUS, NUMBER, Dial, menu, places
from companion.job.dialing import TOO_SOON_S, standing
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import AnswerAccepted, CloseReported, StepAnswered
from companion.job.inputs import Begun, Heard, SaidChoice, SaidName, SaidQuantity
from companion.job.know import Know
from companion.job.listening import expected_now, read_back
from companion.job.outputs import Say
from companion.job.state import Closed, Closing, Job, Opening
from companion.job.turn import Decision, Turn
from companion.shell.translate import understood
from companion.shell.wording import read_wording
from tests.conftest import (
    LONGEST,
    SEA_LEVEL,
    SITES,
    Play,
    Site,
    asked_key,
    cues,
    kinds,
)

WORDING = read_wording("us")
PANEL = ("confirm", "say-again", "stop", "talk")


class Presser:
    """A technician without a voice: knows the answers, has four buttons."""

    def __init__(self, play: Play, site: Site) -> None:
        self.play, self.site = play, site

    def job(self) -> Job:
        return self.play.job

    def go(self) -> None:
        for _ in range(4 * LONGEST):
            if self.job().finished:
                return
            self.step()
        raise AssertionError(f"the job does not get on: {self.job()}")

    def step(self) -> None:
        """Press what the moment asks for, or let time run."""
        job = self.job()
        if isinstance(job.valve, Opening | Closing):
            self.press("confirm")
            return
        if not isinstance(job.valve, Closed):
            self.play.tick()
            return
        if read_back(job):
            self.press("confirm")
            return
        words = self.site.words(job, self.play.know)
        if not words:
            self.play.tick()
        elif words in ("affirmative", "all done", "i am ready", "continue"):
            self.press("confirm")
        else:
            self.dial(words)

    def press(self, button: str) -> None:
        self.play.press(button, after=1.0)

    def dial(self, words: str) -> None:
        expects = expected_now(self.job())
        names = self.play.know.knowledge.catalogue.designations
        said = understood(words, expects, self.play.wording, names)
        match said:
            case SaidQuantity(quantity=quantity):
                self.choose(NUMBER)
                self.enter(quantity)
            case SaidName(designation=designation):
                self.choose(designation)
            case SaidChoice(option=option):
                self.choose(option)
            case _:
                self.choose("no")

    def choose(self, wanted: str) -> None:
        """Open the menu and step up until what is wanted is shown; take it."""
        self.press("talk")
        dial, know = standing_in(self.play), self.play.know
        asked = self.job().asked
        assert dial is not None
        assert asked is not None
        known = know.knowledge.catalogue.refrigerants
        names = tuple(each.designation for each in known)
        choices = menu(EXPECTATIONS[asked.expects], names)
        self.to(choices.index(wanted), len(choices))
        self.press("confirm")

    def enter(self, quantity: object) -> None:
        asked = self.job().asked
        assert asked is not None
        expected = EXPECTATIONS[asked.expects]
        scale = self.play.know.scales[self.job().units, str(expected.of)]
        where = places(expected, scale)
        si = next(
            getattr(quantity, name)
            for name in ("pa", "k", "kg")
            if hasattr(quantity, name)
        )
        number = round(Decimal(scale.read(si)), where.decimals)
        digits = (
            f"{abs(int(number.scaleb(where.decimals))):0{where.whole + where.decimals}}"
        )
        for at, digit in enumerate(digits):
            self.to(int(digit), 11 if where.below_zero and at == 0 else 10)
            self.press("confirm")

    def to(self, cursor: int, length: int) -> None:
        """Step to a place the shorter way."""
        up = cursor <= length // 2
        for _ in range(cursor if up else length - cursor):
            self.press("talk" if up else "say-again")


def standing_in(play: Play) -> Dial | None:
    return standing(Turn(play.job, play.job.at, play.know))


def begun(know: Know, system: Literal["us", "si"] = "us") -> Play:
    play = Play(know, WORDING)
    play.give(Begun(at=0, job="j1", ambient=SEA_LEVEL, units=system))
    return play


@pytest.mark.parametrize("name", SITES)
@pytest.mark.parametrize("system", ["us", "si"])
def test_a_whole_job_by_presses_alone(
    know: Know, name: str, system: Literal["us", "si"]
) -> None:
    play = begun(know, system)
    Presser(play, SITES[name]).go()
    assert play.job.finished
    assert play.job.pulses
    assert not any(isinstance(taken.event, Heard) for taken in play.steps)
    accepted = [fact for fact in play.facts if isinstance(fact, AnswerAccepted)]
    assert {fact.by for fact in accepted} == {"button"}
    assert any(isinstance(fact, StepAnswered) for fact in play.facts)
    closed = [fact for fact in play.facts if isinstance(fact, CloseReported)]
    assert {fact.by for fact in closed} == {"button"}


def test_what_is_dialled_is_what_was_meant(know: Know) -> None:
    pressed, typed = begun(know), begun(know)
    site = SITES["liquid-pulses"]
    Presser(pressed, site).go()
    typed.walk(site)
    for key in ("factory-charge", "suction-pressure@0", "unit-refrigerant", "metering"):
        assert pressed.job.answers[key] == typed.job.answers[key]


PLACES = ("unit-refrigerant", "factory-charge", "suction-pressure@0", "ready#1")


@pytest.mark.parametrize("key", PLACES)
@given(before=st.lists(st.sampled_from(("confirm", "say-again", "talk")), max_size=12))
@settings(max_examples=25)
def test_stop_always_stops(know: Know, key: str, before: list[str]) -> None:
    play = begun(know).walk_to(SITES["liquid-pulses"], key)
    for button in before:
        play.press(button)
    play.press("stop")
    assert play.job.halted == "asked"
    assert play.job.valve.kind in ("closed", "closing")


@given(presses=st.lists(st.sampled_from(PANEL), max_size=20))
@settings(max_examples=40)
def test_with_the_valve_open_there_is_no_dial(know: Know, presses: list[str]) -> None:
    play = begun(know).walk_to(SITES["liquid-pulses"], "ready#1")
    play.press("confirm", after=5)
    assert play.job.valve.kind == "opening"
    for button in presses:
        before = play.job.valve.kind
        facts = kinds(play.press(button, after=0.1))
        if before == "closed":
            return
        assert "dial-turned" not in facts
        if button == "stop":
            assert play.job.valve.kind == "closing"
        if before == "closing" and button == "confirm":
            assert play.job.valve.kind == "closed"


@given(
    presses=st.lists(
        st.tuples(st.sampled_from(("say-again", "talk", "confirm")), st.floats(0, 0.9)),
        max_size=15,
    )
)
@settings(max_examples=40)
def test_no_quick_press_opens(know: Know, presses: list[tuple[str, float]]) -> None:
    """Presses that run on from what came before never give the word to open."""
    play = begun(know).walk_to(SITES["liquid-pulses"], "ready#1")
    at = play.at
    for button, after in presses:
        if play.at + after - at >= TOO_SOON_S:
            return
        facts = kinds(play.press(button, after=after))
        assert "open-called" not in facts


def test_no_menu_offers_an_opening() -> None:
    for expected in EXPECTATIONS.values():
        assert "ready" not in menu(expected, ("R-410A",))


def test_the_dial_is_taught_once_and_echoes_every_press(know: Know) -> None:
    play = begun(know).walk_to(SITES["liquid-pulses"], "suction-pressure@0")
    assert cues(play.press("talk")) == ["dial-open"]
    assert cues(play.press("confirm")) == ["dial-place"]
    assert cues(play.press("talk")) == ["dial-digit"]
    assert said(play.press("talk")) == {"digit": "2"}
    assert said(play.press("say-again")) == {"digit": "1"}
    assert said(play.press("confirm")) == {"place": "tens", "digit": "0"}
    play.press("confirm")
    assert cues(play.press("confirm")) == ["read-back"]
    assert cues(play.press("talk"))[0] == "denied"
    assert cues(play.press("talk")) == ["dial-choice"]


def test_a_value_below_zero_and_one_beyond_the_range(know: Know) -> None:
    play = begun(know).walk_to(SITES["liquid-pulses"], "suction-pressure@0")
    presser = Presser(play, SITES["liquid-pulses"])
    presser.choose(NUMBER)
    assert said(play.press("say-again")) == {"digit": MINUS}
    for button in ("confirm", "confirm", "confirm", "talk", "confirm"):
        play.press(button)
    assert play.job.pending is not None
    assert play.job.pending.answer.amount.quantity.psi == pytest.approx(-1)
    play.press("talk")
    presser.choose(NUMBER)
    presser.to(9, 11)
    for _ in range(2):
        play.press("confirm")
    assert cues(play.press("confirm"))[0] == "out-of-range"


def test_leaving_and_asking_from_the_menu(know: Know) -> None:
    play = begun(know).walk_to(SITES["liquid-pulses"], "suction-pressure@0")
    presser = Presser(play, SITES["liquid-pulses"])
    presser.choose("why")
    presser.choose("status")
    presser.choose(LEAVE)
    assert standing_in(play) is None
    assert cues(play.press("say-again")) == ["ask"]
    presser.choose("back")
    assert asked_key(play.job) != "suction-pressure@0"


def test_what_is_spoken_while_the_dial_is_open_counts(know: Know) -> None:
    play = begun(know).walk_to(SITES["liquid-pulses"], "suction-pressure@0")
    Presser(play, SITES["liquid-pulses"]).choose(NUMBER)
    play.hear("one two zero")
    assert "suction-pressure@0" in play.job.answers
    assert standing_in(play) is None


def said(decision: Decision) -> Mapping[str, object]:
    return next(each.values for each in decision.outputs if isinstance(each, Say))

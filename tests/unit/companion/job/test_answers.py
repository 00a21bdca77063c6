from collections.abc import Callable

import pytest

from companion.job.facts import AnswerAccepted, AnswerRefused, ChargingEnded
from companion.job.inputs import (
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidQuantity,
)
from companion.knowledge.quantities import GaugePressure, Mass, Temperature
from tests.conftest import SITES, Play, asked_key, asks, cues, kinds

LIQUID = SITES["liquid-pulses"]
SUCTION = "suction-pressure@0"
TABLE = [
    # key, words, sure -> facts, cues, what is listened for
    (SUCTION, "one two zero", True, ["answer-accepted"], ["heard"]),
    (SUCTION, "one two zero", False, ["answer-doubted"], ["read-back"]),
    (SUCTION, "eight five zero", True, ["answer-refused"], ["out-of-range"]),
    (SUCTION, "one two zero fahrenheit", True, ["answer-refused"], ["wrong-unit"]),
    (SUCTION, "blah blah", True, ["answer-refused"], ["unclear"]),
    (SUCTION, "i am ready", True, ["answer-refused"], ["unclear"]),
    ("liquid-pressure@0", "one zero zero", True, ["answer-refused"], ["refused"]),
    (SUCTION, "four five zero", True, ["answer-doubted"], ["read-back-doubt"]),
    ("metering", "fixed orifice", True, ["answer-accepted"], ["heard"]),
    ("metering", "fixed orifice", False, ["answer-doubted"], ["read-back"]),
    ("metering", "unknown", True, ["answer-accepted"], ["heard"]),
    ("unit-refrigerant", "four ten alpha", True, ["answer-doubted"], ["read-back"]),
    ("unit-refrigerant", "four ten", True, ["answer-refused"], ["which-name"]),
    ("unit-refrigerant", "unknown", True, ["answer-accepted"], ["heard"]),
    ("scale", "affirmative", True, ["answer-accepted"], []),
    ("scale", "unknown", True, ["answer-accepted"], ["heard"]),
    ("factory-charge", "unknown", True, ["answer-accepted"], ["heard"]),
    ("outdoor-temperature", "unknown", True, ["answer-refused"], ["unclear"]),
    ("method-agreed", "all done", True, ["answer-accepted"], []),
    ("site-safety/power", "affirmative", True, ["step-answered"], []),
    ("site-safety/protection", "all done", True, ["step-answered"], []),
]


@pytest.mark.parametrize(("key", "words", "sure", "facts", "said"), TABLE)
def test_what_becomes_of_an_answer(
    play: Callable[[], Play],
    key: str,
    words: str,
    sure: bool,
    facts: list[str],
    said: list[str],
) -> None:
    job = play().walk_to(LIQUID, key)
    decision = job.hear(words, sure=sure)
    assert kinds(decision)[: len(facts)] == facts
    assert cues(decision)[: len(said)] == said
    accepted = facts[0] in ("answer-accepted", "step-answered")
    assert (key in job.job.answers) == accepted
    if facts == ["answer-refused"]:
        assert asked_key(job.job) == key


def test_a_read_back_counts_after_a_yes(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    assert asks(job.hear("one two zero", sure=False)) == ["read-back"]
    decision = job.hear("affirmative")
    accepted = decision.facts[0]
    assert isinstance(accepted, AnswerAccepted)
    assert (accepted.key, accepted.words) == (SUCTION, "one two zero")
    assert cues(decision)[0] == "noted"


def test_a_read_back_that_is_denied_is_asked_again(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    job.hear("one two zero", sure=False)
    decision = job.hear("negative")
    assert kinds(decision) == ["answer-denied", "question-asked"]
    assert cues(decision) == ["denied", "ask"]
    assert job.job.pending is None
    assert SUCTION not in job.job.answers


def test_another_value_at_a_read_back_replaces_it(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    job.hear("one two zero", sure=False)
    job.hear("one two one", sure=False)
    assert job.job.pending is not None
    assert job.job.pending.words == "one two one"
    job.hear("one two two")
    assert job.job.answers[SUCTION].amount.quantity == GaugePressure.from_psi(122)
    assert job.job.pending is None


def test_something_unclear_at_a_read_back_reads_it_back_again(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    job.hear("one two zero", sure=False)
    assert cues(job.hear("mumble")) == ["unclear", "read-back"]
    assert job.job.pending is not None


def test_something_impossible_at_a_read_back_ends_it(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    job.hear("one two zero", sure=False)
    assert cues(job.hear("eight five zero")) == ["out-of-range", "ask"]
    assert job.job.pending is None


def test_from_the_third_asking_on_the_keys_are_offered(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    said = [cues(job.hear("mumble"))[0] for _ in range(4)]
    assert said == ["unclear", "unclear", "unclear-number", "unclear-number"]


def test_from_the_third_asking_on_the_words_to_say_are_named(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "metering")
    said = [job.hear("mumble").outputs[0] for _ in range(3)]
    assert [each.cue for each in said] == ["unclear", "unclear", "unclear-often"]
    assert said[-1].values == {"expects": "metering"}


def test_an_odd_value_is_read_back_as_odd_however_sure(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "suction-line-temperature@0")
    decision = job.hear("one two zero")
    assert cues(decision) == ["read-back-doubt"]
    assert job.job.pending is not None
    assert job.job.pending.doubt


WRONG_KIND = [
    ("metering", SaidQuantity(quantity=GaugePressure.from_psi(120))),
    ("metering", SaidChoice(option="small")),
    ("metering", SaidName(designation="R-22")),
    ("scale", SaidChoice(option="cooling")),
    (SUCTION, SaidQuantity(quantity=Mass(1.0))),
    (SUCTION, SaidQuantity(quantity=Temperature.from_f(60))),
    (SUCTION, SaidName(designation="R-22")),
    (SUCTION, SaidControl(word="ready")),
    ("unit-refrigerant", SaidQuantity(quantity=Mass(1.0))),
    ("site-safety/power", SaidChoice(option="cooling")),
    ("ready#1", SaidQuantity(quantity=GaugePressure.from_psi(120))),
]


@pytest.mark.parametrize(("key", "said"), WRONG_KIND)
def test_an_answer_to_another_question_is_none_to_this_one(
    play: Callable[[], Play], key: str, said: object
) -> None:
    """What was heard for the last question may arrive after the next was put."""
    job = play().walk_to(LIQUID, key)
    decision = job.said(said)
    refused = decision.facts[0]
    assert isinstance(refused, AnswerRefused)
    assert refused.reason == "not-an-answer"
    assert cues(decision)[0] == "not-an-answer"
    assert asked_key(job.job) == key


def test_a_cylinder_of_another_refrigerant_is_never_taken(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "cylinder-refrigerant")
    decision = job.hear("r twenty two")
    assert cues(decision) == ["mismatch", "ask"]
    assert "cylinder-refrigerant" not in job.job.answers


def test_the_wrong_cylinder_again_and_again_offers_a_way_out(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "cylinder-refrigerant")
    said = [cues(job.hear("r twenty two")) for _ in range(4)]
    assert said[2] == ["mismatch", "ask"]
    assert said[3] == ["mismatch", "halted"]
    assert job.job.halted == "answer:cylinder-refrigerant"
    assert cues(job.hear("why"))[0] == "why"
    job.hear("continue")
    assert asked_key(job.job) == "cylinder-refrigerant"
    for _ in range(4):
        job.hear("r twenty two")
    job.hear("finish")
    assert job.job.outcome == "ended-early"


def test_a_refrigerant_that_is_not_supported_is_refused(
    play: Callable[[], Play],
) -> None:
    job = play()
    decision = job.said(SaidName(designation="R-744"))
    assert cues(decision)[0] == "refused"
    assert job.job.answers == {}


NAMES_HEARD = [
    (("R-407A", "R-407C", "R-407F", "R-407H"), "which-name-more", 3),
    (("R-404A",), "which-name", 1),
    (("R-744", "R-717"), "no-such-name", 0),
    ((), "no-such-name", 0),
]


@pytest.mark.parametrize(("names", "cue", "offered"), NAMES_HEARD)
def test_only_refrigerants_of_the_job_are_offered(
    play: Callable[[], Play], names: tuple[str, ...], cue: str, offered: int
) -> None:
    said = play().said(SaidNameUnclear(candidates=names)).outputs[0]
    assert said.cue == cue
    assert said.values.get("names", "") == ", ".join(names[:offered])


@pytest.mark.parametrize(
    ("key", "outcome"), [("ready#1", "ended-early"), ("scale", "ended-early")]
)
def test_finish_while_halted_ends_charging(
    play: Callable[[], Play], key: str, outcome: str
) -> None:
    job = play().walk_to(LIQUID, key)
    job.press("stop")
    if job.job.valve.kind == "closing":
        job.hear("valve closed")
    decision = job.hear("finish")
    assert decision.facts[0] == ChargingEnded(at=job.at, outcome=outcome)


def test_finish_is_no_answer_where_nothing_is_halted(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "metering")
    assert cues(job.said(SaidChoice(option="finish")))[0] == "not-an-answer"

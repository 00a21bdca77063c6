"""What was heard with its guesses, through the engine of a real job."""

from collections.abc import Callable
from dataclasses import replace

from companion.job.amounts import amount
from companion.job.facts import (
    AnswerDoubted,
    AnswerWeighed,
    NumberAnswer,
)
from companion.job.inputs import Guess, Heard, SaidControl, SaidQuantity, SaidUnclear
from companion.job.turn import Decision
from companion.job.weighing import danger_of, near
from companion.knowledge.quantities import GaugePressure, Mass
from tests.conftest import SITES, Play, asked_key, cues, kinds

LIQUID = SITES["liquid-pulses"]
SUCTION = "suction-pressure@0"
PSI = GaugePressure.from_psi


def guessed(job: Play, *guesses: tuple[float, float], words: str = "x") -> Decision:
    """Say something that may be these pressures [psi], with these weights."""
    said = tuple(
        Guess(said=SaidQuantity(quantity=PSI(value)), weight=weight)
        for value, weight in guesses
    )
    event = Heard(
        at=job.at + 1, said=SaidUnclear(), words=words, sure=False, guesses=said
    )
    return job.give(event)


def yes(job: Play, *, sure: bool = True) -> Decision:
    said = SaidControl(word="yes")
    return job.give(Heard(at=job.at + 1, said=said, words="affirmative", sure=sure))


def test_a_likely_value_is_read_back_and_counts_after_a_yes(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    decision = guessed(job, (120, 3.0), (102, 0.0))
    assert kinds(decision) == ["answer-weighed", "answer-doubted"]
    assert cues(decision) == ["read-back"]
    job.job = replace(job.job, confirmed=9)
    guessed(job, (120, 3.0))
    yes(job)
    assert job.job.answers[SUCTION] == NumberAnswer(amount=amount(PSI(120)))
    assert job.job.weighed is None
    assert job.job.confirmed == 10


def test_a_half_heard_yes_counts_when_it_comes_again(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    job.job = replace(job.job, confirmed=9)
    guessed(job, (120, 3.0))
    assert cues(yes(job, sure=False)) == ["read-back-again"]
    assert SUCTION not in job.job.answers
    assert cues(yes(job, sure=False))[0] == "noted"
    assert SUCTION in job.job.answers


def test_a_new_voice_is_read_back_twice(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    guessed(job, (120, 3.0))
    assert cues(yes(job)) == ["read-back-again"]
    job.said(SaidControl(word="no"))
    assert (job.job.confirmed, job.job.denied) == (0, 1)
    assert SUCTION not in job.job.answers


def test_an_unlikely_value_is_asked_for_again_then_by_digits_then_the_keys(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    said = [cues(guessed(job, (value, -1.0)))[0] for value in (120, 121, 122, 123)]
    assert said == ["unclear", "unclear-digits", "unclear-number", "unclear-number"]
    assert asked_key(job.job) == SUCTION


def test_half_understood_twice_is_read_back_twice(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    assert cues(guessed(job, (120, 0.4), (90, -0.5)))[0] == "unclear"
    decision = guessed(job, (120, 0.4), (140, -0.5))
    doubted = decision.facts[-1]
    assert isinstance(doubted, AnswerDoubted)
    assert doubted.confirms == 2
    assert cues(yes(job)) == ["read-back-again"]
    assert SUCTION not in job.job.answers
    assert cues(yes(job))[0] == "noted"
    assert SUCTION in job.job.answers


def test_the_button_must_be_pressed_twice_as_well(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    guessed(job, (120, 0.4), (90, -0.5))
    guessed(job, (120, 0.4), (140, -0.5))
    job.press("confirm")
    assert SUCTION not in job.job.answers
    job.press("confirm")
    assert SUCTION in job.job.answers


def test_two_likely_values_are_both_offered(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    decision = guessed(job, (120, 3.0), (130, 2.9))
    assert cues(decision)[0] == "offer-two"
    assert job.job.pending is None
    decision = guessed(job, (130, 2.0))
    assert job.job.pending is not None
    assert job.job.pending.answer == NumberAnswer(amount=amount(PSI(130)))


def test_a_value_that_was_denied_is_not_offered_again(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    guessed(job, (120, 3.0), (130, 0.0))
    job.said(SaidControl(word="no"))
    guessed(job, (120, 2.0), (130, 2.0))
    assert job.job.pending is not None
    assert job.job.pending.answer == NumberAnswer(amount=amount(PSI(130)))


def test_a_denied_value_can_come_to_be_the_right_one(
    play: Callable[[], Play],
) -> None:
    """A needle that moves: 120 is denied for 121, 121 for 122, then it is 120."""
    job = play().walk_to(LIQUID, SUCTION)
    for value in (120, 121, 122):
        guessed(job, (value, 2.2))
        assert job.job.pending is not None
        job.said(SaidControl(word="no"))
    guessed(job, (120, 2.2))
    assert job.job.pending is not None
    assert job.job.pending.answer == NumberAnswer(amount=amount(PSI(120)))


def test_what_was_half_heard_does_not_stand_against_a_value_for_ever(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    for value in (110, 112, 114, 116, 118, 120):
        guessed(job, (value, 0.4), (value + 1, 0.4))
        assert job.job.pending is None
    guessed(job, (126, 2.3))
    assert job.job.pending is not None
    assert job.job.pending.answer == NumberAnswer(amount=amount(PSI(126)))


def test_what_cannot_be_is_not_chosen_for_what_can(play: Callable[[], Play]) -> None:
    """The liquid side of a running unit is above its suction side."""
    job = play().walk_to(LIQUID, "liquid-pressure@0")
    guessed(job, (100, 4.0), (330, 3.0))
    assert job.job.pending is not None
    assert job.job.pending.answer == NumberAnswer(amount=amount(PSI(330)))


def test_only_impossible_values_are_refused_with_the_reason(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "liquid-pressure@0")
    said = SaidQuantity(quantity=PSI(100))
    event = Heard(
        at=job.at + 1,
        said=said,
        words="one hundred",
        sure=False,
        guesses=(Guess(said=said, weight=3.0),),
    )
    assert cues(job.give(event))[0] == "refused"


def test_what_was_weighed_is_remembered(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    weighed = guessed(job, (120, 0.1), words="one twenty").facts[0]
    assert isinstance(weighed, AnswerWeighed)
    assert (weighed.key, weighed.words) == (SUCTION, "one twenty")
    assert job.job.weighed is not None
    assert job.job.weighed.key == SUCTION


def test_near_the_last_reading_is_likelier() -> None:
    assert near(SUCTION, PSI(120), PSI(118)) > near(SUCTION, PSI(190), PSI(118)) == 0
    assert near(SUCTION, PSI(120), None) == 0
    assert near("cylinder-weight#1", Mass(3.0), Mass(3.1)) == 0
    assert near(SUCTION, PSI(120), Mass(3.0)) == 0


def test_weather_is_less_grave_than_pressure() -> None:
    assert danger_of("outdoor-temperature") == "usual"
    assert danger_of(SUCTION) == "grave"
    assert danger_of("cylinder-refrigerant") == "grave"


def test_where_it_is_too_noisy_that_is_what_is_said(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, SUCTION)
    event = Heard(
        at=job.at + 1, said=SaidUnclear(), words="", sure=False, over_noise=1.0
    )
    assert cues(job.give(event))[0] == "too-noisy"

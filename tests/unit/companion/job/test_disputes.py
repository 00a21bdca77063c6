"""A spoken reading beside a sensor's: said aloud, and settled by the technician."""

from dataclasses import replace

import pytest

from companion.job.facts import NumberAnswer, SensorDisputed, SensorSettled
from companion.job.inputs import DeviceLost, Heard, SaidControl, SaidQuantity, Sampled
from companion.job.state import Closing, Open
from companion.knowledge.quantities import (
    GaugePressure,
    PressureDifference,
    Quantity,
    Temperature,
)
from tests.conftest import SITES, Play, asked_key, cues

SITE = SITES["liquid-pulses"]
PSI = GaugePressure.from_psi


def sample(at: float, psi: float, error_psi: float = 1.0) -> Sampled:
    return Sampled(
        at=at,
        readings={"suction-pressure": PSI(psi)},
        errors={"suction-pressure": PressureDifference.from_psi(error_psi).pa},
    )


def say(play: Play, value: Quantity, psi: float | None, *, sure: bool = True):
    at = play.at + 1
    sensed = None if psi is None else sample(at, psi)
    said = SaidQuantity(quantity=value)
    heard = Heard(at=at, said=said, words="", sure=sure, by="voice", sensed=sensed)
    return play.give(heard)


def word(play: Play, control: str):
    said = SaidControl(word=control)  # type: ignore[arg-type]
    return play.give(Heard(at=play.at + 1, said=said, words="", sure=True))


def at_suction(play: Play) -> Play:
    return play.walk_to(SITE, "suction-pressure@0")


def test_a_sensor_answers_with_its_error_band(play) -> None:
    job = at_suction(play())
    job.give(sample(job.at + 0.2, 120.0, 2.5))
    answer = job.job.answers["suction-pressure@0"]
    assert isinstance(answer, NumberAnswer)
    assert answer.error == pytest.approx(PressureDifference.from_psi(2.5).pa)


def test_a_value_near_the_sensors_is_taken(play) -> None:
    job = at_suction(play())
    say(job, PSI(121), 118.0)
    assert "suction-pressure@0" in job.job.answers
    assert not job.job.disputed


def test_a_value_far_from_the_sensors_is_read_back_beside_it(play) -> None:
    job = at_suction(play())
    told = say(job, PSI(121), 98.0)
    assert cues(told) == ["read-back-sensor"]
    assert "suction-pressure@0" not in job.job.answers
    job.give(sample(job.at + 0.2, 98.0))
    assert "suction-pressure@0" not in job.job.answers, "it waits for the technician"


def test_yes_lets_the_spoken_value_count_and_the_sensor_no_more(play) -> None:
    job = at_suction(play())
    say(job, PSI(121), 98.0)
    word(job, "yes")
    answer = job.job.answers["suction-pressure@0"]
    assert isinstance(answer, NumberAnswer)
    assert answer.amount.quantity == PSI(121)
    assert job.job.disbelieved == {"suction-pressure"}
    assert isinstance(job.facts[-2], SensorSettled) or any(
        isinstance(fact, SensorSettled) and not fact.believed for fact in job.facts
    )


def test_no_leaves_the_question_to_the_sensor(play) -> None:
    job = at_suction(play())
    say(job, PSI(121), 98.0)
    word(job, "no")
    assert asked_key(job.job) == "suction-pressure@0"
    job.give(sample(job.at + 0.2, 119.0))
    answer = job.job.answers["suction-pressure@0"]
    assert isinstance(answer, NumberAnswer)
    assert answer.amount.quantity == PSI(119)


def test_the_button_settles_it_as_a_yes(play) -> None:
    job = at_suction(play())
    say(job, PSI(121), 98.0)
    job.press("confirm")
    assert job.job.disbelieved == {"suction-pressure"}


def opened(play: Play) -> Play:
    play.walk_to(SITE, "ready#1")
    play.hear("i am ready")
    play.hear("valve opened", after=2.0)
    assert isinstance(play.job.valve, Open)
    return play


def test_with_the_valve_open_a_sure_difference_closes_and_is_said(play) -> None:
    job = opened(play())
    told = say(job, PSI(90), 123.0)
    assert cues(told)[:2] == ["sensor-differs", "close-unsure"]
    assert isinstance(job.job.valve, Closing)
    assert any(isinstance(fact, SensorDisputed) for fact in job.facts)


def test_a_disputed_sensor_answers_nothing_until_it_is_settled(play) -> None:
    job = opened(play())
    say(job, PSI(90), 123.0)
    job.hear("valve closed")
    job.walk_to(SITE, "suction-pressure@1")
    job.give(sample(job.at + 0.2, 123.0))
    assert "suction-pressure@1" not in job.job.answers
    say(job, PSI(122), 123.0)
    assert "suction-pressure@1" in job.job.answers
    assert not job.job.disputed
    assert not job.job.disbelieved


def test_a_low_value_that_was_not_heard_surely_leaves_the_sensor_standing(play) -> None:
    job = opened(play())
    told = say(job, PSI(60), 123.0, sure=False)
    assert told.facts == ()
    assert isinstance(job.job.valve, Open)


def test_a_high_value_counts_whatever_the_sensor_shows(play) -> None:
    job = opened(play())
    say(job, PSI(180), 123.0, sure=False)
    assert isinstance(job.job.valve, Closing)


def test_a_sensor_that_fails_in_mid_pulse_closes_the_valve_and_says_why(play) -> None:
    job = opened(play())
    told = job.give(
        DeviceLost(at=job.at + 1, device="suction-pressure-sensor", reason="open")
    )
    assert cues(told) == ["close-device", "sensor-lost"]


def test_a_sensor_that_fails_otherwise_only_means_a_question(play) -> None:
    job = at_suction(play())
    told = job.give(
        DeviceLost(at=job.at + 1, device="suction-pressure-sensor", reason="frozen")
    )
    assert cues(told) == ["sensor-lost", "ask"]
    say(job, PSI(121), None)
    assert "suction-pressure@0" in job.job.answers


def test_the_bands_of_the_sensors_reach_the_superheat(play, know) -> None:
    from companion.job.verify import measure

    spoken = play().walk_to(SITE, "ready#1").job
    wide = measure(spoken, know, 0).superheat
    sensed = {
        key: replace(answer, error=100.0 if key.startswith("suction-pressure") else 0.1)
        if isinstance(answer, NumberAnswer) and "@0" in key
        else answer
        for key, answer in spoken.answers.items()
    }
    narrow = measure(replace(spoken, answers=sensed), know, 0).superheat
    assert wide is not None
    assert narrow is not None
    assert narrow.value == wide.value
    assert narrow.uncertainty < wide.uncertainty


def test_a_temperature_is_compared_too(play) -> None:
    job = play().walk_to(SITE, "suction-line-temperature@0")
    at = job.at + 1
    sensed = Sampled(
        at=at, readings={"suction-line-temperature": Temperature.from_f(63)}
    )
    said = SaidQuantity(quantity=Temperature.from_f(70))
    told = job.give(Heard(at=at, said=said, words="", sure=True, sensed=sensed))
    assert cues(told) == ["read-back-sensor"]

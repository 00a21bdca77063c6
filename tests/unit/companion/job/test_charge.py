from typing import Any

import pytest

from companion.job.charge import next_item
from companion.job.coach import moments
from companion.job.items import (
    AskQuestion,
    AskReady,
    EndCharging,
    Item,
    JudgeRound,
    MakeSafe,
    StartWait,
)
from companion.job.know import Know
from companion.job.opening_plans import MOST_OPENINGS
from companion.job.questions import READINGS
from companion.job.state import Job
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import PSI, F, job_of, judged, method, pulse

VALUES: dict[str, Quantity] = {
    "suction-pressure": PSI(120),
    "suction-line-temperature": F(60),
    "liquid-pressure": PSI(340),
    "liquid-line-temperature": F(95),
}


def charging(stop_by: str = "subcooling", read: str = "", **fields: Any) -> Job:
    """Make a job in its charging phase, with the readings of the rounds named."""
    answers: dict[str, str | Quantity] = {"unit-refrigerant": "R-410A"}
    for number in read.split():
        answers.update({f"{key}@{number}": value for key, value in VALUES.items()})
    answers.update(fields.pop("answers", {}))
    return job_of(answers, method=method(stop_by=stop_by), **fields)


def asked_at_once(job: Job, know: Know) -> str:
    item = next_item(job, know)
    assert isinstance(item, AskQuestion)
    return item.key


def test_the_first_round_takes_all_four_readings_twice_in_order(know: Know) -> None:
    answers: dict[str, str | Quantity] = {}
    asked = []
    for _ in (*READINGS, *READINGS):
        key = asked_at_once(charging(answers=answers), know)
        asked.append(key)
        answers[key] = VALUES[key.partition("@")[0]]
    twice = [f"{key}@0" for key in READINGS] + [f"{key}@0b" for key in READINGS]
    assert asked == twice
    item = next_item(charging(answers=answers), know)
    assert item == JudgeRound(purpose="baseline")


@pytest.mark.parametrize(
    ("stop_by", "readings"),
    [
        ("superheat", list(READINGS[:3])),
        ("subcooling", list(READINGS)),
    ],
)
def test_a_check_takes_the_readings_that_its_target_needs(
    know: Know, stop_by: str, readings: list[str]
) -> None:
    answers: dict[str, str | Quantity] = {}
    round_ = judged(superheat=9.0, subcooling=1.0)
    asked = []
    while True:
        job = charging(
            stop_by,
            answers=answers,
            rounds=(round_,),
            pulses=(pulse(1),),
            settled=True,
            judged=(0, 0),
        )
        item = next_item(job, know)
        if not isinstance(item, AskQuestion):
            break
        asked.append(item.key.removesuffix("@1"))
        answers[item.key] = VALUES[asked[-1].removesuffix("@1b")]
    assert asked[: len(readings)] == readings
    assert {each.removesuffix("@1b") for each in asked[len(readings) :]} <= set(
        moments.target_pair(job)
    )
    assert item == JudgeRound(purpose="check")


WAITS = [
    # what stops, how far short [K] -> seconds of settling
    ("subcooling", 4.0, 75.0),
    ("subcooling", 1.0, 150.0),
    ("subcooling", -1.0, 150.0),
    ("superheat", 9.0, 75.0),
    ("superheat", 2.0, 150.0),
]


@pytest.mark.parametrize(("stop_by", "short", "seconds"), WAITS)
def test_after_an_opening_the_unit_settles_longer_when_it_is_near(
    know: Know, stop_by: str, short: float, seconds: float
) -> None:
    found = judged(superheat=5.0 + short, subcooling=5.0 - short)
    answers = {"cylinder-valve-shut@1": "yes"}
    weak = pulse(1, peak=120.0)
    job = charging(stop_by, "0", rounds=(found,), pulses=(weak,), answers=answers)
    assert next_item(job, know) == StartWait(purpose="settle", seconds=seconds)


def test_after_an_interruption_it_settles_and_is_read_again(know: Know) -> None:
    job = charging(read="0", rounds=(judged(subcooling=1.0),), interruptions=1)
    assert isinstance(next_item(job, know), StartWait)


def test_a_short_unit_gets_an_opening(know: Know) -> None:
    job = charging(read="0", rounds=(judged(subcooling=1.0),))
    item = next_item(job, know)
    assert isinstance(item, AskReady)
    assert (item.key, item.plan.opening) == ("ready#1", 1)


def test_there_is_an_end_to_openings(know: Know) -> None:
    pulses = tuple(pulse(number + 1) for number in range(MOST_OPENINGS))
    job = charging(
        read="0",
        rounds=(judged(subcooling=1.0),),
        pulses=pulses,
        judged=(MOST_OPENINGS, 0),
    )
    assert next_item(job, know) == EndCharging(outcome="too-many-openings")


def test_a_check_at_the_target_is_proved_by_a_long_wait_and_a_last_round(
    know: Know,
) -> None:
    done = {"rounds": (judged(0), judged(1, "done")), "pulses": (pulse(1),)}
    done["judged"] = (1, 0)
    assert asked_at_once(charging(read="0 1", **done), know) == "cylinder-valve-shut@2"
    shut: dict[str, str | Quantity] = {"cylinder-valve-shut@2": "yes"}
    job = charging(read="0 1", answers=shut, **done)
    assert next_item(job, know) == StartWait(purpose="final", seconds=900.0)
    job = charging(read="0 1", answers=shut, final_settled=True, **done)
    assert asked_at_once(job, know) == "suction-pressure@2"
    again = {f"{key}@2b": VALUES[key] for key in moments.target_pair(job)}
    job = charging(read="0 1 2", answers={**shut, **again}, final_settled=True, **done)
    assert next_item(job, know) == JudgeRound(purpose="final")


ENDINGS = [
    # verdict, finding, purpose, openings -> outcome
    ("done", "at-target", "final", 1, "target"),
    ("done", "at-target", "baseline", 0, "already-full"),
    ("over", "overcharged", "check", 1, "overcharged"),
    ("stop", "restriction-suspected", "baseline", 0, "restriction-suspected"),
    ("stop", "no-effect", "check", 1, "no-effect"),
    ("unverified", "no-target", "final", 1, "no-target"),
]


@pytest.mark.parametrize(
    ("verdict", "finding", "purpose", "openings", "outcome"), ENDINGS
)
def test_how_charging_ends(
    know: Know, verdict: str, finding: str, purpose: str, openings: int, outcome: str
) -> None:
    last = judged(0, verdict, purpose=purpose, finding=finding)
    pulses = tuple(pulse(number + 1) for number in range(openings))
    job = charging(read="0", rounds=(last,), pulses=pulses, judged=(openings, 0))
    assert next_item(job, know) == EndCharging(outcome=outcome)


def test_short_after_the_long_wait_the_cylinder_is_opened_again_first(
    know: Know,
) -> None:
    short = judged(2, "add", purpose="final", subcooling=1.0)
    state = {"rounds": (judged(0), judged(1), short), "pulses": (pulse(1),)}
    state["judged"] = (1, 0)
    shut: dict[str, str | Quantity] = {"cylinder-valve-shut@2": "yes"}
    job = charging(read="0 1 2", answers=shut, **state)
    assert asked_at_once(job, know) == "cylinder-valve-open@3"
    opened = {**shut, "cylinder-valve-open@3": "yes"}
    job = charging(read="0 1 2", answers=opened, **state)
    assert isinstance(next_item(job, know), AskReady)


def test_before_a_long_wait_the_cylinder_is_shut_too(know: Know) -> None:
    found = judged(subcooling=4.9)
    job = charging(read="0", rounds=(found,), pulses=(pulse(1, peak=120.0),))
    assert asked_at_once(job, know) == "cylinder-valve-shut@1"


def test_after_two_openings_that_brought_nothing_the_flow_is_looked_at(
    know: Know,
) -> None:
    dry = tuple(pulse(n + 1, 10.0, peak=120.0) for n in range(2))
    state = {"rounds": (judged(0), judged(1), judged(2)), "pulses": dry}
    job = charging(read="0 1 2", judged=(2, 0), **state)
    assert asked_at_once(job, know) == "flow-checked@3"


def test_suction_that_stays_high_asks_whether_it_is_fully_shut(know: Know) -> None:
    high = {"suction-pressure@1": PSI(134)}
    state: dict[str, Any] = {"rounds": (judged(subcooling=-9.0),), "settled": True}
    state["pulses"] = (pulse(1, peak=128.0),)
    pair = {f"{key}@1b": VALUES[key] for key in READINGS} | {
        "suction-pressure@1b": PSI(134)
    }
    job = charging(read="0 1", answers={**high, **pair}, judged=(0, 0), **state)
    assert asked_at_once(job, know) == "fully-shut@1"
    answers = {**high, **pair, "fully-shut@1": "no"}
    job = charging(read="0 1", answers=answers, judged=(0, 0), **state)
    assert next_item(job, know) == MakeSafe()


def test_with_little_superheat_nothing_is_opened(know: Know) -> None:
    wet = judged(0, superheat=0.0, subcooling=1.0)
    job = charging(read="0", rounds=(wet,))
    assert next_item(job, know) == EndCharging(outcome="flood-back")


def test_nothing_comes_after_the_end(know: Know) -> None:
    job = charging(read="0", charging_ended="target")
    item: Item | None = next_item(job, know)
    assert item is None

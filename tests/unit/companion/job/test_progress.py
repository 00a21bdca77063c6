from typing import Any

import pytest

from companion.job.amounts import amount
from companion.job.facts import (
    ChargingEnded,
    Halted,
    JobFinished,
    MethodChosen,
    RoundJudged,
    WaitEnded,
    WaitStarted,
)
from companion.job.items import (
    DecideMethod,
    EndCharging,
    FinishJob,
    JudgeRound,
    Pause,
    StartWait,
)
from companion.job.know import Know
from companion.job.outputs import Light, Say, Tone
from companion.job.progress import Automatic, advance
from companion.job.state import Job, Waiting
from companion.job.turn import Decision, Turn
from companion.knowledge.quantities import Mass
from tests.conftest import cues
from tests.unit.companion.job.conftest import job_of, method
from tests.unit.companion.job.test_method import BLEND, EMPTY, SINGLE


def done(know: Know, item: Automatic, job: Job) -> Decision:
    turn = Turn(job, 100.0, know)
    advance(turn, item)
    return turn.decision()


METHODS: list[tuple[dict[str, Any], list[str]]] = [
    (BLEND, ["method", "target"]),
    (SINGLE, ["method", "target"]),
    (EMPTY, ["method", "target-weight"]),
]


@pytest.mark.parametrize(("answers", "said"), METHODS)
def test_a_method_is_said_with_what_it_aims_at(
    know: Know, answers: dict[str, Any], said: list[str]
) -> None:
    decision = done(know, DecideMethod(), job_of(answers))
    (chosen,) = decision.facts
    assert isinstance(chosen, MethodChosen)
    assert cues(decision) == said


def test_the_weight_to_aim_at_is_the_plate_and_the_line(know: Know) -> None:
    said = done(know, DecideMethod(), job_of(EMPTY)).outputs[1]
    assert isinstance(said, Say)
    assert said.values["target"].quantity.oz == pytest.approx(100)


def test_a_refusal_halts_and_says_why(know: Know) -> None:
    answers = {**BLEND, "leak-state": "unrepaired"}
    decision = done(know, DecideMethod(), job_of(answers))
    (halted,) = decision.facts
    assert isinstance(halted, Halted)
    assert halted.reason.startswith("method:")
    assert cues(decision) == ["method-refused"]


@pytest.mark.parametrize("purpose", ["settle", "final"])
def test_a_wait_is_said_when_it_begins(know: Know, purpose: str) -> None:
    decision = done(know, StartWait(purpose=purpose, seconds=75.4), job_of())
    assert decision.facts == (WaitStarted(at=100.0, purpose=purpose, seconds=75.4),)
    assert decision.outputs == (Say(cue=f"wait-{purpose}", values={"seconds": 75}),)


def test_the_end_of_a_wait_is_a_tone(know: Know) -> None:
    item = Pause(waiting=Waiting(purpose="final", until=100.0))
    decision = done(know, item, job_of())
    assert decision.facts == (WaitEnded(at=100.0, purpose="final"),)
    assert decision.outputs == (Tone(pattern="information"),)


def test_a_round_is_judged(know: Know) -> None:
    decision = done(know, JudgeRound(purpose="check"), job_of(method=method()))
    (judged,) = decision.facts
    assert isinstance(judged, RoundJudged)
    assert judged.purpose == "check"


def test_the_end_of_charging_is_said(know: Know) -> None:
    decision = done(know, EndCharging(outcome="target"), job_of())
    assert decision.facts == (ChargingEnded(at=100.0, outcome="target"),)
    assert cues(decision) == ["charging-ended"]


@pytest.mark.parametrize(
    ("answers", "added"),
    [
        ({}, None),
        (
            {"cylinder-weight#0": Mass(7.0), "cylinder-weight#end": Mass(6.5)},
            amount(Mass(0.5)),
        ),
    ],
)
def test_the_end_of_the_job_names_what_was_added(
    know: Know, answers: dict[str, Any], added: Any
) -> None:
    decision = done(know, FinishJob(outcome="target"), job_of(answers))
    assert decision.facts == (JobFinished(at=100.0, outcome="target", added=added),)
    assert decision.outputs == (
        Say(cue="finished", values={"outcome": "target", "added": added}),
        Light(lamp="attention", pattern="off"),
    )

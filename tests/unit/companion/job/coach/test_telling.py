from typing import Any

import pytest

from companion.job.coach.telling import say_standing, turn_to
from companion.job.evolve import fold
from companion.job.know import Know
from companion.job.outputs import Say
from companion.job.turn import Turn
from tests.conftest import cues
from tests.unit.companion.job.conftest import (
    OZ,
    PSI,
    job_of,
    judged,
    method,
    opening_plan,
    pulse,
)


def test_with_the_valve_open_it_says_seconds_left_and_the_limit(know: Know) -> None:
    job = fold([opening_plan(at=100.0)], job_of(method=method()))
    turn = Turn(job, 103.0, know)
    assert say_standing(turn)
    (said,) = turn.decision().outputs
    assert isinstance(said, Say)
    assert said.cue == "status-open"
    assert said.values["left_s"] == 6  # 2.5 s for the hand, 6 s planned, 3 s gone
    assert said.values["top"] == opening_plan().ceiling


def test_between_openings_it_says_the_last_reading_and_what_is_left(know: Know) -> None:
    answers = {"unit-refrigerant": "R-410A", "factory-charge": OZ(110)}
    rounds = (judged(0, subcooling=1.0), judged(1, subcooling=2.0))
    job = job_of(answers, method=method(), rounds=rounds, pulses=(pulse(1),))
    turn = Turn(job, 200.0, know)
    assert say_standing(turn)
    assert cues(turn.decision()) == ["status-charge", "coming"]
    said = turn.decision().outputs[0]
    assert isinstance(said, Say)
    assert (said.values["openings"], said.values["stop_by"]) == (1, "subcooling")


@pytest.mark.parametrize("fields", [{}, {"charging_ended": "target"}])
def test_elsewhere_it_says_nothing(know: Know, fields: dict[str, Any]) -> None:
    rounds = (judged(0, subcooling=1.0),) if fields else ()
    turn = Turn(job_of(method=method(), rounds=rounds, **fields), 1.0, know)
    assert not say_standing(turn)
    assert cues(turn.decision()) == []


@pytest.mark.parametrize(
    ("opening", "ceiling", "stop"), [(1, 130, 125), (2, 130, 124), (1, 126, 124)]
)
def test_a_slow_turn_stops_at_plus_five_or_well_before_a_near_limit(
    opening: int, ceiling: float, stop: float
) -> None:
    plan = opening_plan(opening=opening, ceiling=PSI_AMOUNT(ceiling))
    found = turn_to(plan, "us")
    assert found is not None
    assert PSI(0).__class__(found.si).psi == pytest.approx(stop)


def PSI_AMOUNT(value: float) -> Any:  # noqa: N802 - beside PSI
    from companion.job.amounts import amount

    return amount(PSI(value))

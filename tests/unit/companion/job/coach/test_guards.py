from typing import Any

import pytest

from companion.job.coach import guards
from companion.job.know import Know
from companion.job.state import Job
from companion.job.verify import measure
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import (
    PSI,
    F,
    job_of,
    judged,
    method,
    pulse,
)


def job_with(now: dict[str, Quantity], **fields: Any) -> Job:
    """Make a job read twice: a sound first round, and this one after an opening."""
    answers: dict[str, str | Quantity] = {"unit-refrigerant": "R-410A"}
    first = {
        "suction-pressure": PSI(120),
        "suction-line-temperature": F(60),
        "liquid-pressure": PSI(330),
        "liquid-line-temperature": F(95),
    }
    answers |= {f"{key}@0": value for key, value in first.items()}
    answers |= {f"{key}@1": value for key, value in {**first, **now}.items()}
    given = {
        "method": method(),
        "rounds": (judged(0, subcooling=2.0),),
        "pulses": (pulse(1),),
        **fields,
    }
    return job_of(answers, **given)


ALARMS: list[tuple[dict[str, Quantity], str | None]] = [
    ({}, None),
    ({"suction-line-temperature": F(40)}, "flood-back"),
    ({"liquid-pressure": PSI(420)}, "head-climb"),
    ({"liquid-pressure": PSI(395)}, None),
    ({"suction-pressure": PSI(105)}, "drift"),
    ({"suction-pressure": PSI(115)}, None),
]


@pytest.mark.parametrize(("now", "expected"), ALARMS)
def test_what_is_alarming(
    know: Know, now: dict[str, Quantity], expected: str | None
) -> None:
    job = job_with(now)
    heat = measure(job, know, 1).superheat
    found = guards.alarm(job, know, heat, 2.0)
    assert (None if found is None else found.id) == expected


def test_suction_that_falls_before_anything_flowed_is_no_drift(know: Know) -> None:
    job = job_with({"suction-pressure": PSI(105)}, pulses=(pulse(1, peak=120.0),))
    found = guards.alarm(job, know, measure(job, know, 1).superheat, 2.0)
    assert found is None


def test_an_orifice_floods_sooner_than_a_valve(know: Know) -> None:
    three = {"suction-line-temperature": F(43.0)}
    valve, orifice = (
        job_with(three),
        job_with(three, method=method(stop_by="superheat")),
    )
    heat = measure(valve, know, 1).superheat
    assert guards.alarm(valve, know, heat, 2.0) is None
    found = guards.alarm(orifice, know, heat, 2.0)
    assert found is not None
    assert found.id == "flood-back"


@pytest.mark.parametrize(("now", "expected"), [(120, False), (126, False), (132, True)])
def test_suction_has_not_fallen_back(now: float, expected: bool) -> None:
    job = job_with({"suction-pressure": PSI(now)}, pulses=(pulse(1, peak=129.0),))
    assert guards.not_fallen(job) is expected

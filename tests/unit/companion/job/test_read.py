from typing import Any

import pytest

from companion.job import read
from companion.job.state import Job
from companion.knowledge.quantities import Mass
from tests.conftest import SEA_LEVEL
from tests.unit.companion.job.conftest import DF, PSI, F, job_of

JOB = job_of(
    {
        "scale": "yes",
        "unit-refrigerant": "R-22",
        "suction-pressure@0": PSI(70),
        "outdoor-temperature": F(90),
        "target-subcooling": DF(10),
        "cylinder-weight#0": Mass(7),
        "factory-charge": "unknown",
    }
)
TABLE: list[tuple[Any, str, Any]] = [
    (read.option, "scale", "yes"),
    (read.option, "factory-charge", "unknown"),
    (read.option, "unit-refrigerant", None),
    (read.option, "metering", None),
    (read.name, "unit-refrigerant", "R-22"),
    (read.name, "scale", None),
    (read.pressure, "suction-pressure@0", PSI(70)),
    (read.pressure, "suction-pressure@1", None),
    (read.pressure, "outdoor-temperature", None),
    (read.temperature, "outdoor-temperature", F(90)),
    (read.temperature, "target-subcooling", None),
    (read.difference, "target-subcooling", DF(10)),
    (read.difference, "outdoor-temperature", None),
    (read.mass, "cylinder-weight#0", Mass(7)),
    (read.mass, "factory-charge", None),
]


@pytest.mark.parametrize(("look_up", "key", "found"), TABLE)
def test_what_is_read(look_up: Any, key: str, found: Any) -> None:
    assert look_up(JOB, key) == found


@pytest.mark.parametrize(
    ("state", "running", "empty"),
    [
        ("cooling", True, False),
        ("heating", True, False),
        ("evacuated", False, True),
        ("empty", False, True),
        ("off-charged", False, False),
        ("unknown", False, False),
    ],
)
def test_what_a_unit_state_means(state: str, running: bool, empty: bool) -> None:
    job = job_of({"unit-state": state})
    assert (read.running(job), read.no_charge(job)) == (running, empty)


def test_a_fixed_orifice() -> None:
    assert read.fixed_orifice(job_of({"metering": "fixed-orifice"}))
    assert not read.fixed_orifice(job_of({"metering": "unknown"}))


def test_the_air_pressure_comes_with_the_job() -> None:
    assert read.ambient(JOB) == SEA_LEVEL
    with pytest.raises(ValueError, match="has not begun"):
        read.ambient(Job())

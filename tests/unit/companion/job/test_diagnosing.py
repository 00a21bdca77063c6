from typing import Any

import pytest

from companion.job.diagnosing import find
from companion.job.know import Know
from companion.job.verify import measure
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import DF, PSI, F, job_of

SHORT: dict[str, Any] = {
    "unit-refrigerant": "R-410A",
    "metering": "thermostatic",
    "outdoor-temperature": F(92),
    "target-subcooling": DF(10),
    "suction-pressure@0": PSI(120),
    "suction-line-temperature@0": F(63),
    "liquid-pressure@0": PSI(330),
    "liquid-line-temperature@0": F(99),
}
FULL = {**SHORT, "liquid-pressure@0": PSI(345), "liquid-line-temperature@0": F(95)}
TOO_FULL = {**SHORT, "liquid-pressure@0": PSI(390), "liquid-line-temperature@0": F(93)}


@pytest.mark.parametrize(
    ("answers", "finding"),
    [(SHORT, "undercharged"), (FULL, "at-target"), (TOO_FULL, "overcharged")],
)
def test_what_the_readings_say(
    know: Know, answers: dict[str, str | Quantity], finding: str
) -> None:
    job = job_of(answers)
    found = measure(job, know, 0)
    said = find(job, know, found.superheat, found.subcooling)
    assert said is not None
    assert said.id == finding


@pytest.mark.parametrize(
    "missing",
    [
        "metering",
        "outdoor-temperature",
        "suction-pressure@0",
        "liquid-line-temperature@0",
    ],
)
def test_with_too_few_readings_nothing_is_found(know: Know, missing: str) -> None:
    job = job_of({key: value for key, value in SHORT.items() if key != missing})
    found = measure(job, know, 0)
    assert find(job, know, found.superheat, found.subcooling) is None

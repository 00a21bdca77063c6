from dataclasses import replace
from typing import Any

import pytest

from companion.job.coach.settling import proof_s, settle_s, slow
from companion.job.know import Know
from companion.job.state import Job
from tests.unit.companion.job.conftest import DF, job_of, judged, method, pulse

TARGET = DF(10).k


def looks(*found: tuple[float, str], at: float = 500.0, **fields: Any) -> Job:
    """Make a job with one opening at 100 s and these looks: subcooling [F], finding.

    The last look is judged at ``at`` on the job's time line.
    """
    before = judged(0, subcooling=DF(2).k, target=TARGET)
    after = [
        judged(n + 1, subcooling=DF(sc).k, target=TARGET, finding=finding)
        for n, (sc, finding) in enumerate(found)
    ]
    made = {
        "method": method(target_k=TARGET),
        "rounds": (before, *after),
        "pulses": (pulse(1),),
        "disturbed_at": 100.0,
        "at": at,
        **fields,
    }
    return job_of(**made)


PROOFS = [
    # looks after the opening -> when it is proved [s]
    ([(9.0, "second-look"), (9.2, "near-target"), (9.6, "at-target")], 600.0),
    ([(9.0, "second-look")], 900.0),  # seen once
    ([(6.0, "second-look"), (6.2, "near-target"), (9.6, "at-target")], 900.0),  # moved
    ([(7.0, "still-moving"), (9.4, "still-moving"), (9.6, "at-target")], 900.0),  # slow
]


@pytest.mark.parametrize(("found", "seconds"), PROOFS)
def test_only_a_unit_seen_at_rest_late_is_proved_early(
    know: Know, found: list[tuple[float, str]], seconds: float
) -> None:
    job = looks(*found)
    late = (*job.rounds[:-1], replace(job.rounds[-1], at=420.0))
    assert proof_s(looks(*found, rounds=late), know) == seconds


def test_a_look_before_five_minutes_proves_no_rest(know: Know) -> None:
    assert proof_s(looks((9.0, "second-look"), (9.2, "at-target")), know) == 900.0


SLOW = [
    ([(4.0, "second-look"), (6.0, "still-moving")], True),  # it fills on
    ([(6.0, "second-look"), (4.0, "still-moving")], False),  # it swings back
    ([(4.0, "second-look"), (6.0, "undercharged")], False),
]


@pytest.mark.parametrize(("found", "expected"), SLOW)
def test_a_unit_that_fills_on_is_slow_and_one_that_swings_is_not(
    found: list[tuple[float, str]],
    expected: bool,
) -> None:
    assert slow(looks(*found)) is expected


def test_near_the_target_a_unit_that_came_to_rest_is_read_sooner(know: Know) -> None:
    rested = looks((8.0, "second-look"), (8.2, "undercharged"))
    assert settle_s(rested, know) == 120.0
    assert settle_s(looks((8.0, "undercharged")), know) == 150.0

from typing import Any

import pytest

from companion.job.coach.flowing import (
    brought_nothing,
    look_at_flow,
    openings_without_rise,
    seen_to_flow,
)
from companion.job.state import Job
from tests.unit.companion.job.conftest import (
    DF,
    OZ,
    PSI,
    job_of,
    judged,
    method,
    pulse,
)


def dry_job(
    count: int, *, looked_after: int | None = None, came: float = 0.0, **fields: Any
) -> Job:
    """Make a job whose openings, so many, raised nothing; ``came`` [F] changed."""
    answers = (
        {} if looked_after is None else {f"flow-checked@{looked_after + 1}": "done"}
    )
    rounds = tuple(
        judged(n, subcooling=DF(2 + came * n).k, superheat=DF(30).k)
        for n in range(count + 1)
    )
    pulses = tuple(pulse(n + 1, 10.0, peak=120.5) for n in range(count))
    return job_of(answers, method=method(), rounds=rounds, pulses=pulses, **fields)


def test_openings_without_a_rise_are_counted_from_the_last() -> None:
    rose, dry = pulse(1, peak=126.0), pulse(2, peak=120.5)
    assert openings_without_rise(job_of(pulses=(rose,))) == 0
    assert openings_without_rise(job_of(pulses=(rose, dry, dry))) == 2
    unseen = pulse(3, peak=None)
    assert openings_without_rise(job_of(pulses=(dry, unseen))) == 0


def test_an_opening_that_changed_the_readings_has_flowed_whatever_the_needle_did() -> (
    None
):
    assert openings_without_rise(dry_job(2)) == 2
    assert openings_without_rise(dry_job(2, came=2.5)) == 0


WEIGHED = [
    # weights before and after the last opening [oz], highest suction -> dry openings
    (300.0, 300.0, 126.0, 1),  # the needle moved, but nothing left the cylinder
    (300.0, 296.0, 120.5, 0),  # nothing seen to rise, but four ounces are gone
    (300.0, 299.5, 120.5, 1),
]


@pytest.mark.parametrize(("before", "after", "peak", "dry"), WEIGHED)
def test_a_scale_knows_better_than_the_needle(
    before: float, after: float, peak: float, dry: int
) -> None:
    weights = {"cylinder-weight#0": OZ(before), "cylinder-weight#1": OZ(after)}
    rounds = (judged(0, subcooling=1.0), judged(1, subcooling=1.0))
    job = job_of(weights, method=method(), rounds=rounds, pulses=(pulse(1, peak=peak),))
    assert openings_without_rise(job) == dry
    assert seen_to_flow(job) is (dry == 0)


STOPS = [
    # openings, looked at the flow after so many -> ends for it
    (3, None, False),
    (6, None, False),  # never without a look
    (4, 4, False),  # nor without an opening after it
    (4, 2, True),
    (4, 3, True),
    (3, 2, False),
]


@pytest.mark.parametrize(("count", "looked", "expected"), STOPS)
def test_nothing_flows_only_after_somebody_has_looked_and_opened_again(
    count: int,
    looked: int | None,
    expected: bool,
) -> None:
    assert brought_nothing(dry_job(count, looked_after=looked), DF(8).k) is expected


def test_readings_that_came_nearer_prove_a_flow() -> None:
    job = dry_job(4, looked_after=2)
    assert brought_nothing(job, DF(8).k)
    assert not brought_nothing(job, 5.0 - DF(5).k)  # 3 F nearer than before


@pytest.mark.parametrize(("count", "expected"), [(1, False), (2, True), (3, True)])
def test_the_flow_is_looked_at_from_the_second_dry_opening(
    count: int,
    expected: bool,
) -> None:
    assert look_at_flow(dry_job(count), DF(8).k) is expected


SEEN = [
    # highest suction, subcooling and superheat after [F] -> seen to flow
    (126.0, 2.0, 30.0, True),
    (120.5, 2.0, 30.0, False),
    (None, 2.0, 30.0, False),
    (None, 4.0, 30.0, True),
    (None, 2.0, 26.0, True),
]


@pytest.mark.parametrize(("peak", "subcooling", "superheat", "expected"), SEEN)
def test_what_shows_that_an_opening_brought_something(
    peak: float | None,
    subcooling: float,
    superheat: float,
    expected: bool,
) -> None:
    rounds = (
        judged(0, subcooling=DF(2).k, superheat=DF(30).k),
        judged(1, subcooling=DF(subcooling).k, superheat=DF(superheat).k),
    )
    job = job_of(method=method(), rounds=rounds, pulses=(pulse(1, peak=peak),))
    assert seen_to_flow(job) is expected


def test_before_any_opening_nothing_was_seen_to_flow() -> None:
    assert not seen_to_flow(job_of(method=method(), rounds=(judged(0),)))


def test_a_vapor_opening_too_short_to_tell_does_not_end_a_dry_spell() -> None:
    dry, short = pulse(1, 20.0, peak=120.5), pulse(2, 4.5, peak=None)
    vapor = {"method": method("vapor"), "pulses": (dry, dry, short)}
    assert openings_without_rise(job_of(**vapor)) == 2
    liquid = {"method": method(), "pulses": (dry, dry, short)}
    assert openings_without_rise(job_of(**liquid)) == 0


@pytest.mark.parametrize(("suction", "expected"), [(120.2, True), (122.0, False)])
def test_suction_up_and_superheat_down_show_a_flow_into_a_valve_unit(
    suction: float, expected: bool
) -> None:
    rounds = tuple(
        judged(n, subcooling=0.0, superheat=DF(30 - 0.8 * n).k) for n in range(5)
    )
    pulses = tuple(pulse(n + 1, 10.0, peak=120.5) for n in range(4))
    answers = {"flow-checked@3": "done", "suction-pressure@4": PSI(suction)}
    job = job_of(answers, method=method(), rounds=rounds, pulses=pulses)
    assert brought_nothing(job, DF(9).k) is expected

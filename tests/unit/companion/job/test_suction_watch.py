from dataclasses import replace
from typing import Any

import pytest

from companion.job.evolve import fold
from companion.job.facts import SuctionWatched, ValvePassed
from companion.job.know import Know
from companion.job.state import Job, Seen
from companion.job.suction_watch import climbs, moved_on, watch
from companion.job.turn import Turn
from tests.conftest import cues, kinds
from tests.unit.companion.job.conftest import PSI, job_of, judged, method, pulse


def seen(*pairs: tuple[float, float]) -> tuple[Seen, ...]:
    """Make what a sensor showed: seconds after the close, psig."""
    return tuple(Seen(at=100 + at, pa=PSI(psi).pa, live=True) for at, psi in pairs)


def closed(*pairs: tuple[float, float], **fields: Any) -> Job:
    """Make a job whose valve was closed at 100 s, after an opening from 120 psig."""
    return job_of(
        method=method(),
        rounds=(judged(0, subcooling=1.0),),
        pulses=(pulse(1),),
        hoses=True,
        disturbed_at=100.0,
        watched=seen(*pairs),
        **fields,
    )


CLIMBS = [
    (((50, 121), (65, 122), (80, 123), (95, 124.5)), True),
    (((50, 121), (65, 121.5), (80, 122), (95, 122.5)), False),  # too little
    (((5, 121), (20, 122), (35, 124)), False),  # too soon to tell
    (((50, 124), (65, 123), (80, 122), (95, 121)), False),  # it falls
    (((50, 116), (65, 117), (80, 118), (95, 119.5)), False),  # it swings back
    (((50, 121), (60, 124.5)), False),  # too fast for a climb
    ((), False),
]


@pytest.mark.parametrize(("shown", "expected"), CLIMBS)
def test_suction_that_climbs_with_the_valve_closed(
    shown: tuple[tuple[float, float], ...],
    expected: bool,
) -> None:
    assert climbs(closed(*shown)) is expected


def test_what_the_sensor_shows_is_kept_when_it_changes_or_from_time_to_time(
    know: Know,
) -> None:
    job = closed()
    kept = []
    for at, psi in ((110, 125), (111, 125.2), (112, 123.5), (120, 123.6), (128, 123.6)):
        turn = Turn(job, at, know)
        watch(turn, PSI(psi), cylinder_open=True)
        kept += [fact for fact in turn.decision().facts if fact.at == at]
        job = fold(turn.decision().facts, job)
    assert [fact.at for fact in kept] == [110, 112, 128]
    assert all(isinstance(fact, SuctionWatched) for fact in kept)


@pytest.mark.parametrize("cylinder_open", [True, False])
def test_a_climb_is_said_at_once_where_the_cylinder_may_feed(
    know: Know,
    cylinder_open: bool,
) -> None:
    job = closed((50, 121), (65, 122), (80, 123))
    turn = Turn(job, 195.0, know)
    watch(turn, PSI(124.5), cylinder_open=cylinder_open)
    decision = turn.decision()
    assert cues(decision) == (["valve-passes"] if cylinder_open else [])
    assert (ValvePassed(at=195.0) in decision.facts) is cylinder_open


def test_nothing_is_watched_before_the_hoses_are_on_or_after_the_end(
    know: Know,
) -> None:
    for job in (
        replace(closed(), hoses=False),
        replace(closed(), charging_ended="target"),
    ):
        turn = Turn(job, 120.0, know)
        watch(turn, PSI(125), cylinder_open=True)
        assert kinds(turn.decision()) == []


@pytest.mark.parametrize(("now", "expected"), [(122.0, False), (125.0, True)])
def test_suction_has_moved_on_since_the_round(
    now: float,
    expected: bool,
) -> None:
    job = closed((50, 120), (140, now))
    job = replace(job, rounds=(*job.rounds, replace(judged(1, subcooling=1.0), at=200)))
    assert moved_on(job) is expected

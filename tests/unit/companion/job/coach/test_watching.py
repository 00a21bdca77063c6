from typing import Any

import pytest

from companion.job.amounts import amount
from companion.job.coach.watching import NOTHING, Look, believed, look
from companion.job.evolve import fold
from companion.job.facts import Fact, HandAdvised, OpenReadingSeen, OpenReported
from companion.job.state import Job, Seen
from tests.unit.companion.job.conftest import PSI, job_of, opening_plan


def opened(*seen: tuple[float, float], by: str = "voice", **plan: Any) -> Job:
    """Make a job whose valve was called open at 100 s and said to be at 104.5 s."""
    called = opening_plan(
        **{"planned_s": 12.0, "hard": amount(PSI(135)), "hint": "same", **plan}
    )
    facts: list[Fact] = [called, OpenReported(at=104.5, opening=1)]
    facts += [
        OpenReadingSeen(at=at, opening=1, reading=amount(PSI(psi)), by=by)
        for at, psi in seen
    ]
    return fold(facts, job_of())


def looked(job: Job, psi: float, at: float, **fields: Any) -> Look:
    given = {"live": False, "planned_end": 116.0, **fields}
    return look(job, PSI(psi).pa, at, **given)


def test_a_slow_rise_means_nothing() -> None:
    assert looked(opened((106.0, 121)), 122, 109.5) == NOTHING


@pytest.mark.parametrize(
    ("before", "psi", "at"), [(124, 129, 108.0), (121, 129, 109.0)]
)
def test_a_fast_rise_closes_ahead_of_the_hard_limit(
    before: float, psi: float, at: float
) -> None:
    assert looked(opened((106.0, before)), psi, at).close == "ahead"


def test_a_first_reading_is_carried_on_from_the_start() -> None:
    assert looked(opened(), 128, 106.0).close == "ahead"


def test_a_rise_that_would_pass_the_soft_limit_is_eased_off_once() -> None:
    job = opened((106.0, 122))
    assert looked(job, 126, 109.0).advice == "ease-off"
    told = fold([HandAdvised(at=109.0, opening=1, advice="ease-off")], job)
    assert looked(told, 126, 109.0).advice is None


def test_shortly_before_the_close_call_nothing_is_advised() -> None:
    job = opened((106.0, 122))
    assert looked(job, 126, 109.0, planned_end=111.0).advice is None


def test_no_rise_is_said_softly_once_and_late() -> None:
    job = opened((106.0, 120))
    assert looked(job, 120, 108.0) == NOTHING
    assert looked(job, 120, 111.0).advice == "open-more"
    told = fold([HandAdvised(at=111.0, opening=1, advice="open-more")], job)
    assert looked(told, 120, 111.5) == NOTHING


def test_one_reading_is_not_enough_to_say_that_nothing_rises() -> None:
    assert looked(opened(), 120, 111.0) == NOTHING


def test_while_a_slow_turn_may_go_on_nothing_is_said() -> None:
    assert looked(opened((106.0, 120), hint="slow"), 120, 111.0) == NOTHING


def test_vapor_is_not_hurried() -> None:
    job = opened((106.0, 120), limit_s=180.0)
    assert looked(job, 120, 112.0) == NOTHING


def test_an_odd_reading_says_nothing() -> None:
    job = opened((106.0, 121))
    assert looked(job, 21, 109.0) == NOTHING
    after = opened((106.0, 121), (109.0, 21))
    assert looked(after, 122, 112.0) == NOTHING


def test_a_start_read_too_high_brings_the_limit_down() -> None:
    job = opened((106.0, 110))
    assert looked(job, 111, 107.0) == NOTHING
    assert looked(opened((106.0, 112), (107.0, 113)), 121, 110.0).close == "ahead"


@pytest.mark.parametrize(
    ("pressures", "kept"),
    [
        ([121, 122, 123], [121, 122, 123]),
        ([121, 21, 122], [121, 122]),
        ([221, 122], [122]),
        ([160, 161, 162], [160, 161, 162]),  # it comes again: it is so
    ],
)
def test_what_is_believed(pressures: list[float], kept: list[float]) -> None:
    seen = tuple(
        Seen(at=104.0 + 3 * n, pa=PSI(psi).pa, live=False)
        for n, psi in enumerate(pressures)
    )
    found = believed(seen, PSI(120).pa, 100.0)
    assert [round(PSI(0).__class__(each.pa).psi) for each in found] == kept


def test_a_closed_valve_is_not_looked_at() -> None:
    assert looked(job_of(), 150, 1.0) == NOTHING

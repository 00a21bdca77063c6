import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.job.coach.belief import Belief

PRIOR = Belief(mean=math.log(0.2), spread=0.67)


def test_a_quantile_lies_so_many_spreads_above_the_middle() -> None:
    assert PRIOR.at(0) == pytest.approx(0.2)
    assert PRIOR.at(1) == pytest.approx(0.2 * math.exp(0.67))


def test_answers_narrow_the_belief_around_what_they_say() -> None:
    found = PRIOR
    for _ in range(6):
        found = found.answered(10.0, 4.0, 0.5, 0.25)
    assert found.at(0) == pytest.approx(0.4, rel=0.1)
    assert found.spread < PRIOR.spread / 3


def test_one_wild_answer_moves_it_little() -> None:
    known = PRIOR
    for _ in range(4):
        known = known.answered(10.0, 2.0, 0.5, 0.25)
    wild = known.answered(10.0, 40.0, 0.5, 0.25)
    assert wild.at(0) == pytest.approx(known.at(0), rel=0.1)


def test_a_part_that_showed_says_that_it_is_no_less() -> None:
    found = PRIOR.at_least(10.0, 5.0, 0.5, 0.25)
    assert found.at(0) > 0.4
    assert PRIOR.at_least(10.0, 0.0, 0.5, 0.25).at(0) >= PRIOR.at(0)


def test_a_hint_shifts_it_and_adds_doubt() -> None:
    less = PRIOR.shifted(0.6, 0.15)
    assert less.at(0) == pytest.approx(0.12)
    assert less.spread == pytest.approx(math.hypot(0.67, 0.15))
    assert PRIOR.widened(0.1).at(0) == pytest.approx(0.2)


def test_another_estimate_counts_by_its_spread() -> None:
    even = PRIOR.told(0.8, PRIOR.spread)
    assert even.at(0) == pytest.approx(0.4)
    assert PRIOR.told(0.8, 10.0).at(0) == pytest.approx(0.2, rel=0.02)


@given(
    st.floats(0.2, 60),
    st.floats(-20, 20),
    st.floats(0.1, 3),
    st.floats(0.05, 0.6),
    st.booleans(),
)
def test_whatever_is_answered_the_belief_stays_a_belief(
    seconds: float, change: float, noise: float, repeat: float, hidden: bool
) -> None:
    told = PRIOR.at_least if hidden else PRIOR.answered
    found = told(seconds, change, noise, repeat)
    assert math.isfinite(found.mean)
    assert 0 < found.spread < 2 * PRIOR.spread

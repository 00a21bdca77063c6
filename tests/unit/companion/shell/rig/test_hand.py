import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.shell.rig.errors import RigError
from companion.shell.rig.hand import RAMP_PER_S, Habits, Hand

SURE = Habits(obeys_slow_turn=1.0)


@given(seed=st.integers(0, 10_000), at=st.floats(0, 1e5))
def test_every_act_comes_after_one_to_four_seconds(seed: int, at: float) -> None:
    hand = Hand(seed=seed)
    for turns in (hand.open("crack", at), hand.ease(at + 5), hand.close(at + 9)):
        assert len(turns) == 1
    assert 1 <= hand.open("crack", at + 20)[0].at - (at + 20) <= 4
    assert 1.3 <= hand.mean_delay_s <= 3.5


def test_the_fleets_median_crack_is_about_a_quarter() -> None:
    cracks = [Hand(seed=s).level for s in range(2000)]
    assert statistics.median(cracks) == pytest.approx(0.28, abs=0.02)
    assert statistics.stdev(map(math.log, cracks)) == pytest.approx(0.55, abs=0.05)
    assert all(0.05 <= crack <= 0.9 for crack in cracks)


@pytest.mark.parametrize(
    ("hint", "low", "high"),
    [
        ("crack", 1.0, 1.0),
        ("less", 0.45, 0.75),
        ("more", 1.15, 1.6),
        ("double", 1.6, 2.4),
    ],
)
def test_hints_scale_the_level(hint: str, low: float, high: float) -> None:
    for seed in range(50):
        hand = Hand(seed=seed)
        before = hand.level
        hand.open(hint, 0.0)  # type: ignore[arg-type]  parametrised words
        assert min(low * before, 1) - 1e-9 <= hand.level <= high * before + 1e-9


def test_the_valve_stands_where_the_turns_say() -> None:
    hand = Hand(seed=4)
    (opened,) = hand.open("crack", 10.0)
    assert hand.opening(opened.at - 0.1, 100.0) == 0.0
    assert hand.opening(opened.at, 100.0) == opened.opening
    (eased,) = hand.ease(20.0)
    assert 0.4 * opened.opening < eased.opening < 0.8 * opened.opening
    assert hand.opening(eased.at, 105.0) == eased.opening
    (shut,) = hand.close(30.0)
    assert hand.opening(shut.at, 105.0) == 0.0


def test_a_slow_turn_creeps_and_stops_after_five_psi() -> None:
    hand = Hand(seed=5, habits=SURE)
    turns = hand.open("double", 0.0, slow_turn=True)
    assert len(turns) > 8
    rate = (turns[4].opening - turns[0].opening) / (turns[4].at - turns[0].at)
    assert rate == pytest.approx(RAMP_PER_S)
    start, at, opening = turns[0].at, 0.0, 0.0
    for tick in range(400):
        at = tick / 10
        psig = 100.0 + (3.0 * (at - start) if at > start else 0.0)
        opening = hand.opening(at, psig)
    five_seen = start + 5 / 3
    expected = RAMP_PER_S * (five_seen + 0.8 - start)
    assert opening == pytest.approx(expected, abs=RAMP_PER_S * 0.7)
    assert hand.level == pytest.approx(opening)


def test_a_slow_turn_without_a_moving_needle_ends_all_the_same() -> None:
    hand = Hand(seed=6, habits=SURE)
    level = hand.level
    hand.open("crack", 0.0, slow_turn=True)
    opening = [hand.opening(tick / 10, 100.0) for tick in range(600)][-1]
    assert opening == pytest.approx(min(max(2 * level, 0.3), 1.0))


def test_closing_cuts_a_slow_turn_short() -> None:
    hand = Hand(seed=7, habits=SURE)
    hand.open("crack", 0.0, slow_turn=True)
    (shut,) = hand.close(3.0)
    stands = [hand.opening(tick / 10, 100.0) for tick in range(600)]
    assert stands[-1] == 0.0
    assert max(stands[math.ceil(shut.at * 10) + 1 :]) == 0.0


def test_slow_turns_and_closes_are_obeyed_as_often_as_told() -> None:
    habits = Habits(obeys_slow_turn=0.85, misses_close=0.5)
    hands = [Hand(seed=s, habits=habits) for s in range(1000)]
    crept = sum(len(h.open("crack", 0.0, slow_turn=True)) > 1 for h in hands)
    closed = sum(bool(h.close(30.0)) for h in hands)
    assert crept / 1000 == pytest.approx(0.85, abs=0.04)
    assert closed / 1000 == pytest.approx(0.5, abs=0.05)


def test_the_same_seed_is_the_same_hand() -> None:
    first, second = Hand(seed=9), Hand(seed=9)
    assert first.open("more", 1.0) == second.open("more", 1.0)
    assert first.close(9.0) == second.close(9.0)


def test_a_time_that_is_no_number_is_refused() -> None:
    with pytest.raises(RigError, match="finite"):
        Hand(seed=1).close(math.inf)

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.patterns import (
    BUZZ_PATTERNS,
    LAMP_PATTERNS,
    SOUND_PATTERNS,
    Pattern,
    counted,
)

ALL = [
    *LAMP_PATTERNS.values(),
    *SOUND_PATTERNS.values(),
    *BUZZ_PATTERNS.values(),
    *map(counted, range(10)),
]


@pytest.mark.parametrize(
    ("pattern", "elapsed", "on", "following"),
    [
        (LAMP_PATTERNS["off"], 0.0, False, None),
        (LAMP_PATTERNS["lit"], 0.0, True, None),
        (LAMP_PATTERNS["lit"], 1e6, True, None),
        (LAMP_PATTERNS["slow"], 0.0, True, 1.0),
        (LAMP_PATTERNS["slow"], 0.9994, True, 1.0),
        (LAMP_PATTERNS["slow"], 1.0, False, 2.0),
        (LAMP_PATTERNS["slow"], 2.0, True, 3.0),
        (LAMP_PATTERNS["fast"], 0.3, False, 0.5),
        (SOUND_PATTERNS["information"], 0.1, True, 0.15),
        (SOUND_PATTERNS["information"], 0.15, False, None),
        (SOUND_PATTERNS["caution"], 0.6, True, 0.8),
        (SOUND_PATTERNS["caution"], 0.8, False, None),
        (SOUND_PATTERNS["danger"], 1.1, False, 1.5),
        (SOUND_PATTERNS["danger"], 1.5, True, 1.8),
        (LAMP_PATTERNS["slow"], -1.0, True, 1.0),
    ],
)
def test_on_and_next_change(
    pattern: Pattern, elapsed: float, on: bool, following: float | None
) -> None:
    assert pattern.is_on(elapsed) is on
    assert pattern.next_change(elapsed) == following


@given(st.sampled_from(ALL), st.floats(0, 1e6))
def test_the_next_change_is_later_and_nothing_changes_before_it(
    pattern: Pattern, elapsed: float
) -> None:
    following = pattern.next_change(elapsed)
    if following is None:
        assert pattern.is_on(elapsed + 1000) is pattern.is_on(elapsed)
        return
    assert following > elapsed - 0.001
    assert pattern.is_on(following - 0.001) is pattern.is_on(elapsed)
    assert pattern.is_on(following) is not pattern.is_on(elapsed)


def test_only_danger_goes_on_by_itself() -> None:
    repeating = [
        name for name, one in SOUND_PATTERNS.items() if one.next_change(9.0) is not None
    ]
    assert repeating == ["danger"]


def test_no_lamp_flashes_three_times_a_second() -> None:
    for pattern in LAMP_PATTERNS.values():
        if pattern.period_ms is not None:
            flashes = len(pattern.changes_ms) / 2 * 1000 / pattern.period_ms
            assert flashes <= 2

from typing import Any

import pytest

from companion.job.coach.hand import (
    FIRST_DELAY_S,
    MOST_S,
    RAMP_S,
    REPORT_LATE_S,
    delay_s,
    full_seconds,
    open_seconds,
    ramp_for,
    ramped,
)
from companion.job.state import Pulse
from tests.unit.companion.job.conftest import job_of, pulse


def timed(
    opened: float | None, closed: float, *, called: float = 100.0, **fields: Any
) -> Pulse:
    """Make an opening called at 100 s whose close call went out at 110 s."""
    given = {"open_called_at": called, "close_called_at": 110.0, **fields}
    done = pulse(1)
    return Pulse(
        number=1,
        ended_at=closed,
        open_s=done.open_s,
        base=done.base,
        peak=done.peak,
        reason="planned",
        opened_at=opened,
        **given,
    )


def test_before_anything_it_is_the_usual_delay() -> None:
    assert delay_s(job_of()) == FIRST_DELAY_S


def test_it_goes_toward_what_was_measured() -> None:
    slow = timed(100 + 4 + REPORT_LATE_S, 110 + 4 + REPORT_LATE_S)
    found = delay_s(job_of(pulses=(slow,) * 6))
    assert FIRST_DELAY_S < found <= MOST_S
    assert found == pytest.approx(4.0, abs=0.1)


def test_a_close_call_that_had_to_be_repeated_measures_nothing() -> None:
    late = timed(None, 150.0, repeats=3)
    assert delay_s(job_of(pulses=(late,))) == FIRST_DELAY_S


def test_an_opening_lasts_from_hand_to_hand() -> None:
    done = timed(104.5, 114.5)
    job = job_of(pulses=(done,))
    assert open_seconds(job, done) == pytest.approx(10.0, abs=0.2)
    kept_open = timed(104.5, 140.0, repeats=5)
    job = job_of(pulses=(kept_open,))
    assert open_seconds(job, kept_open) == pytest.approx(140 - 2 - 102.5, abs=0.2)


@pytest.mark.parametrize("seconds", [0.5, 2.0, 5.0, 9.0])
def test_a_slow_turn_is_worth_less_and_the_sum_turns_round(seconds: float) -> None:
    assert ramped(seconds) < seconds
    assert ramp_for(ramped(seconds)) == pytest.approx(seconds)
    assert ramped(RAMP_S) == pytest.approx(RAMP_S / 2)


def test_full_seconds_follow_the_hint() -> None:
    plain, slow = timed(104.5, 114.5), timed(104.5, 114.5, hint="slow")
    job = job_of(pulses=(plain,))
    assert full_seconds(job, plain) - full_seconds(job, slow) == pytest.approx(2.5)

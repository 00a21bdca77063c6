"""The second watch on the close call, on the real clock with short times."""

import threading

from companion.shell.clock import SystemClock
from companion.shell.sentinel import Sentinel


def test_a_loop_that_is_late_is_called_for() -> None:
    clock, called = SystemClock(), threading.Event()
    sentinel = Sentinel(clock, called.set)
    sentinel.arm(clock.now() - 0.2)
    assert called.wait(timeout=2)
    sentinel.close()


def test_a_loop_in_time_is_left_alone() -> None:
    clock, called = SystemClock(), threading.Event()
    sentinel = Sentinel(clock, called.set)
    sentinel.arm(clock.now() + 0.05)
    sentinel.arm(None)
    assert not called.wait(timeout=0.5)
    sentinel.close()


def test_the_call_is_repeated_until_the_loop_moves() -> None:
    clock = SystemClock()
    calls, twice = [], threading.Event()

    def call() -> None:
        calls.append(clock.now())
        if len(calls) == 2:
            twice.set()

    sentinel = Sentinel(clock, call)
    sentinel.arm(clock.now() - 1.0)
    assert twice.wait(timeout=4)
    sentinel.close()
    assert calls[1] - calls[0] < 2.3


def test_a_stop_that_the_loop_does_not_obey_is_called_for() -> None:
    clock, called = SystemClock(), threading.Event()
    sentinel = Sentinel(clock, called.set)
    sentinel.demand()
    sentinel.arm(None)  # the loop came round, but has not obeyed
    assert called.wait(timeout=2)
    sentinel.close()


def test_a_stop_that_is_obeyed_is_left_alone() -> None:
    clock, called = SystemClock(), threading.Event()
    sentinel = Sentinel(clock, called.set)
    sentinel.demand()
    sentinel.obeyed()
    assert not called.wait(timeout=0.5)
    sentinel.close()


def test_the_panel_keeps_its_rhythm_while_the_loop_hangs() -> None:
    clock, moved = SystemClock(), []
    ticked = threading.Semaphore(0)

    def tick(now: float) -> float:
        moved.append(now)
        ticked.release()
        return now + 0.05

    sentinel = Sentinel(clock, lambda: None, tick)
    sentinel.arm(clock.now() - 1.0)
    for _ in range(4):
        assert ticked.acquire(timeout=2)
    sentinel.close()
    assert moved == sorted(moved)

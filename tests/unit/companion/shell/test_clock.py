import datetime

from companion.shell.clock import Clock, ManualClock, SystemClock, boot_id


def test_a_manual_clock_stands_until_it_is_moved() -> None:
    clock = ManualClock(5.0)
    assert (clock.now(), clock.now()) == (5.0, 5.0)
    clock.move_to(8.5)
    assert clock.now() == 8.5


def test_a_manual_clock_never_goes_back() -> None:
    clock = ManualClock(5.0)
    clock.move_to(3.0)
    assert clock.now() == 5.0


def test_its_date_moves_with_it() -> None:
    clock = ManualClock()
    before = clock.utc()
    clock.move_to(90.0)
    assert clock.utc() - before == datetime.timedelta(seconds=90)
    assert clock.utc().tzinfo is datetime.UTC


def test_the_machines_clock_never_goes_back_and_its_date_is_utc() -> None:
    clock: Clock = SystemClock()
    moments = [clock.now() for _ in range(100)]
    assert moments == sorted(moments)
    assert clock.utc().utcoffset() == datetime.timedelta(0)


def test_a_start_of_the_machine_has_one_name() -> None:
    assert boot_id() == boot_id()
    assert boot_id() == boot_id().strip()

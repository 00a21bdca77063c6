import pytest

from companion.job.inputs import DeviceFound, DeviceLost, Input, Sampled
from companion.knowledge.quantities import GaugePressure, Mass, Temperature
from companion.shell.arrivals import Sensed
from companion.shell.sensor_desk import GOOD_FOR_S, STALE_S, SensorDesk
from hardware import Fault, Reading

NAMES = ("suction-pressure", "suction-line-temperature", "cylinder-weight")
GOOD = (
    Reading(channel=NAMES[0], value=118.0, unit="psig", uncertainty=2.5),
    Reading(channel=NAMES[1], value=12.0, unit="C", uncertainty=0.3),
    Reading(channel=NAMES[2], value=9.0, unit="kg", uncertainty=0.02),
)
BROKEN = Fault(channel=NAMES[0], name="open", message="lead")
MOVING = Reading(channel=NAMES[2], value=8.99, unit="kg", stable=False)


def take(
    desk: SensorDesk, at: float, *found: Reading | Fault, valve_open: bool = False
) -> list[Input]:
    return desk.take(Sensed(at=at, found=found), at, valve_open=valve_open)


def test_good_readings_become_quantities_with_their_errors() -> None:
    (sample,) = take(SensorDesk(NAMES), 1.0, *GOOD)
    assert isinstance(sample, Sampled)
    assert sample.readings == {
        NAMES[0]: GaugePressure.from_psi(118.0),
        NAMES[1]: Temperature.from_c(12.0),
        NAMES[2]: Mass(9.0),
    }
    assert sample.errors[NAMES[0]] == pytest.approx(17236.9, rel=1e-4)
    assert sample.errors[NAMES[1]] == 0.3


def test_a_fault_is_told_once_and_gives_no_number() -> None:
    desk = SensorDesk(NAMES)
    lost, sample = take(desk, 1.0, BROKEN, *GOOD[1:])
    assert lost == DeviceLost(at=1.0, device="suction-pressure-sensor", reason="open")
    assert isinstance(sample, Sampled)
    assert NAMES[0] not in sample.readings
    (sample,) = take(desk, 1.2, BROKEN, *GOOD[1:])
    assert isinstance(sample, Sampled)


def test_a_sensor_comes_back_after_it_was_good_for_a_while() -> None:
    desk = SensorDesk(NAMES)
    take(desk, 0.0, BROKEN)
    assert not any(NAMES[0] in s.readings for s in samples(take(desk, 1.0, *GOOD)))
    take(desk, 2.0, BROKEN)
    take(desk, 3.0, *GOOD)
    back = take(desk, 3.0 + GOOD_FOR_S, *GOOD)
    assert back[0] == DeviceFound(at=3.0 + GOOD_FOR_S, device="suction-pressure-sensor")
    assert NAMES[0] in samples(back)[0].readings


def samples(events: list[Input]) -> list[Sampled]:
    return [each for each in events if isinstance(each, Sampled)]


def test_a_moving_load_counts_only_with_the_valve_open() -> None:
    desk = SensorDesk(NAMES)
    assert samples(take(desk, 0.0, MOVING)) == []
    (sample,) = samples(take(desk, 0.2, MOVING, valve_open=True))
    assert sample.readings == {NAMES[2]: Mass(8.99)}


def test_silence_loses_every_sensor_once() -> None:
    desk = SensorDesk(NAMES)
    assert desk.due is None
    take(desk, 10.0, *GOOD)
    assert desk.due == 10.0 + STALE_S
    assert desk.watch(10.5) == []
    gone = desk.watch(10.0 + STALE_S)
    assert [each.reason for each in gone if isinstance(each, DeviceLost)] == [
        "gone"
    ] * 3
    assert desk.due is None
    assert desk.watch(99.0) == []


def test_what_was_shown_last_is_old_after_a_while() -> None:
    desk = SensorDesk(NAMES)
    take(desk, 10.0, *GOOD)
    assert desk.latest(10.5) is not None
    assert desk.latest(10.1 + STALE_S) is None

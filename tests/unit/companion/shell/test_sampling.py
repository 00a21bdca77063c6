import queue

from companion.shell.arrivals import Arrival, Sensed
from companion.shell.clock import SystemClock
from companion.shell.sampling import Sampler
from hardware import Power, open_board, open_sensors, pins, read_plan

PLAN = read_plan(
    """
[sensors.suction-pressure]
kind = "pressure"
input = 0
full_scale_psi = 500
calibrated = 2026-05-01
"""
)


def test_sensors_and_supply_are_read_again_and_again() -> None:
    clock = SystemClock()
    found: queue.Queue[Arrival] = queue.Queue()
    with open_board("simulated") as board:
        sensors = open_sensors(board, PLAN, clock.now)
        van = board.van()
        board.factory.pin(pins.IGNITION).drive_low()
        board.factory.pin(pins.BACKUP_POWER).drive_high()
        sampler = Sampler(clock, found.put, sensors=sensors, van=van, every_s=0.01)
        seen = [found.get(timeout=5) for _ in range(4)]
        sampler.close()
    assert sum(isinstance(each, Sensed) for each in seen) == 3
    assert [each for each in seen if isinstance(each, Power)] == [
        Power(ignition=True, backup=True)
    ]

from hardware import Fault, Reading, open_board, open_sensors, read_plan
from hardware.sensing import SensorSet
from hardware.transducers import DIVIDER

PLAN = read_plan(
    """
[sensors.suction-pressure]
kind = "pressure"
input = 0
full_scale_psi = 500
calibrated = 2026-05-01
[sensors.suction-line-temperature]
kind = "thermistor"
input = 2
ohm_at_25_c = 10000
beta_k = 3950
calibrated = 2026-05-01
"""
)


def names(found: tuple[Reading | Fault, ...]) -> list[str]:
    return [each.name if isinstance(each, Fault) else "good" for each in found]


def test_readings_carry_their_uncertainty_and_step() -> None:
    with open_board("simulated") as board:
        sensors = open_sensors(board, PLAN, lambda: 0.0)
        board.factory.volts[7] = 5.0 * DIVIDER
        board.factory.volts[0] = 1.5 * DIVIDER
        board.factory.volts[2] = 1.65
        pressure, line = sensors.read(0.0)
        sensors.close()
    assert isinstance(pressure, Reading)
    assert isinstance(line, Reading)
    assert abs(pressure.value - 125) < 0.3
    assert 5.0 < pressure.uncertainty < 5.1
    assert abs(pressure.resolution - 0.169) < 0.001
    assert abs(line.value - 25) < 0.05
    assert 0.3 < line.uncertainty < 0.4


def test_one_lead_off_leaves_the_other_sensors() -> None:
    with open_board("simulated") as board:
        sensors = open_sensors(board, PLAN, lambda: 0.0)
        board.factory.volts[7] = 5.0 * DIVIDER
        board.factory.volts[2] = 1.65
        assert names(sensors.read(0.0)) == ["open", "good"]


def test_a_converter_that_stops_answering_is_gone_and_nothing_is_raised() -> None:
    class Dead:
        def read(self) -> tuple[Reading | Fault, ...]:
            raise OSError("no answer")

        def close(self) -> None:
            pass

    sensors = SensorSet(
        names=("suction-pressure",),
        converter=Dead(),
        on_converter=("suction-pressure",),
        singles=(),
    )
    (fault,) = sensors.read(1.0)
    assert isinstance(fault, Fault)
    assert fault.name == "gone"
    assert "no answer" in fault.message


def test_a_converter_that_does_not_answer_on_the_bus_is_gone_by_name() -> None:
    with open_board("simulated") as board:
        sensors = open_sensors(board, PLAN, lambda: 0.0)
        board.factory.answering = False
        assert names(sensors.read(0.0)) == ["gone", "gone"]

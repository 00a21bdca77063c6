import pytest

from hardware.converter import Channel, ConverterSensors
from hardware.ports import Fault, Reading
from hardware.transducers import PressureCalibration, ThermistorCalibration

CLAMP = ThermistorCalibration.from_beta(
    ohm_at_25_c=10_000, beta_k=3950, lowest_c=-20, highest_c=70
)
CHANNELS = (
    Channel(
        name="suction", number=0, calibration=PressureCalibration(full_scale_psi=500)
    ),
    Channel(name="line", number=2, calibration=CLAMP),
)
SUPPLY = 3694  # 5.0 V through the divider, in 4096ths of 3.3 V


class FakeInput:
    def __init__(self, raw_value: int) -> None:
        self.raw_value = raw_value
        self.closed = 0

    def close(self) -> None:
        self.closed += 1


def sensors(
    signal: int, line: int, supply: int = SUPPLY, bits: int = 12
) -> ConverterSensors:
    inputs = {0: FakeInput(signal), 2: FakeInput(line), 7: FakeInput(supply)}
    return ConverterSensors(CHANNELS, inputs, supply_number=7, bits=bits)


@pytest.mark.parametrize(
    ("bits", "scale", "one_count_psi"), [(12, 1, 0.17), (10, 4, 0.68)]
)
def test_every_channel_in_order(bits: int, scale: int, one_count_psi: float) -> None:
    suction, line = sensors(
        SUPPLY // 2 // scale, 2048 // scale, SUPPLY // scale, bits
    ).read()
    assert isinstance(suction, Reading)
    assert suction.value == pytest.approx(250, abs=one_count_psi)
    assert isinstance(line, Reading)
    assert line.value == pytest.approx(25)


def test_one_bad_channel_leaves_the_other() -> None:
    suction, line = sensors(0, 2048).read()
    assert isinstance(suction, Fault)
    assert suction.name == "open"
    assert isinstance(line, Reading)


@pytest.mark.parametrize("counts", [0, 4095])
def test_a_converter_that_is_not_there_gives_only_faults(counts: int) -> None:
    read = sensors(counts, counts, counts).read()
    assert [isinstance(one, Fault) for one in read] == [True, True]


def test_closing_closes_every_input() -> None:
    inputs = {number: FakeInput(0) for number in (0, 2, 7)}
    ConverterSensors(CHANNELS, inputs, supply_number=7, bits=12).close()
    assert [one.closed for one in inputs.values()] == [1, 1, 1]


@pytest.mark.parametrize(
    ("channels", "supply", "message"),
    [
        ((CHANNELS[0], CHANNELS[0]), 7, "share a name: suction, suction"),
        (CHANNELS, 2, "input 2 of the supply"),
        (
            (CHANNELS[0], Channel(name="b", number=0, calibration=CLAMP)),
            7,
            "share a converter input",
        ),
        ((Channel(name="a", number=8, calibration=CLAMP),), 7, "inputs 0 to 7, not 8"),
    ],
)
def test_channels_that_clash_are_refused(
    channels: tuple[Channel, ...], supply: int, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        ConverterSensors(channels, {}, supply_number=supply, bits=12)

import pytest
from gpiozero import LED, MCP3008, MCP3208, PWMOutputDevice

from hardware import pins
from hardware.simulated import SimulatedBus, SimulatedPins


@pytest.fixture
def factory() -> SimulatedPins:
    return SimulatedPins()


def test_pulsed_and_plain_pins_live_together(factory: SimulatedPins) -> None:
    with (
        PWMOutputDevice(pins.VIBRATION, pin_factory=factory) as motor,
        LED(pins.LAMPS["listening"], pin_factory=factory) as lamp,
    ):
        motor.value = 0.25
        lamp.on()
        assert factory.pin(pins.VIBRATION).state == 0.25
        assert factory.pin(f"GPIO{pins.LAMPS['listening']}").state == 1


@pytest.mark.parametrize(("kind", "bits"), [(MCP3008, 10), (MCP3208, 12)])
@pytest.mark.parametrize("number", range(8))
def test_every_input_reads_its_own_volts(
    factory: SimulatedPins, kind: type[MCP3208], bits: int, number: int
) -> None:
    factory.volts = [0.4 * other for other in range(8)]
    with kind(channel=number, pin_factory=factory) as one:
        assert one.raw_value == int(0.4 * number / 3.3 * (1 << bits))


@pytest.mark.parametrize(("volts", "counts"), [(-1.0, 0), (3.3, 4095), (9.0, 4095)])
def test_volts_beyond_the_reference_are_cut_off(
    factory: SimulatedPins, volts: float, counts: int
) -> None:
    factory.volts[5] = volts
    assert factory.counts(5) == counts


@pytest.mark.parametrize("words", [[0, 0, 0], [0b10000, 0, 0], [0b11000]])
def test_anything_but_a_single_ended_read_is_refused(
    factory: SimulatedPins, words: list[int]
) -> None:
    with pytest.raises(ValueError, match="no single-ended read"):
        SimulatedBus(factory).transfer(words)

"""Pins and a converter that exist only in memory, for laptops, rehearsals and tests."""

from typing import Any

from gpiozero import SPI
from gpiozero.pins.mock import MockFactory, MockPin, MockPWMPin

from hardware import pins
from hardware.transducers import REFERENCE_V

_PULSED = frozenset({f"GPIO{pins.VIBRATION}", f"GPIO{pins.SOUNDER}"})
_BITS = 12
_COMMAND_BITS = 5  # start, single-ended, three of channel
_WAIT_BITS = 2  # the sample is taken, then one empty bit


class SimulatedBus(SPI):  # type: ignore[misc]  # the library has no types
    """The serial bus with a 12-bit converter of eight inputs at its far end.

    A 10-bit driver gets the upper ten bits, as it would on the wire.
    """

    def __init__(self, factory: "SimulatedPins") -> None:
        super().__init__(pin_factory=factory)
        self._factory = factory

    def transfer(self, data: list[int]) -> list[int]:
        """Answer a single-ended read with the counts of its input.

        Raises
        ------
        ValueError
            If the words ask for anything else.
        OSError
            If the converter is set not to answer.
        """
        if not self._factory.answering:
            raise OSError("the converter does not answer")
        size = 8 * len(data)
        word = int.from_bytes(bytes(data), "big")
        after = word.bit_length() - _COMMAND_BITS
        left = after - _WAIT_BITS
        command = word >> max(after, 0)
        if left < 0 or command >> 3 != 0b11:
            raise ValueError(f"{data} is no single-ended read of a converter")
        counts = self._factory.counts(command & 0b111)
        shift = left - _BITS
        answer = counts << shift if shift >= 0 else counts >> -shift
        return list(answer.to_bytes(size // 8, "big"))


class SimulatedPins(MockFactory):  # type: ignore[misc]  # the library has no types
    """Mock pins, pulsed where a motor or sounder is, and a converter to set.

    ``volts`` are the voltages at its eight inputs [V]; they start at zero, as a
    converter with nothing on it may read. With ``answering`` false it is gone. The library's own mock makes one class for
    all pins, and its bus asks for pins of the machine it runs on.
    """

    def __init__(self) -> None:
        # A Raspberry Pi 4, whatever the environment says.
        super().__init__(revision="b03115", pin_class=MockPin)
        self.volts = [0.0] * 8
        self.answering = True

    def counts(self, number: int) -> int:
        """Give what the converter makes of the voltage at an input, 0 to 4095."""
        top = 1 << _BITS
        return min(max(int(self.volts[number] / REFERENCE_V * top), 0), top - 1)

    def pin(
        self,
        name: int | str,
        pin_class: type[MockPin] | None = None,
        **kwargs: Any,
    ) -> MockPin:
        """Give the pin of that name, the same one every time."""
        for _, info in self.board_info.find_pin(name):
            if info in self.pins:
                return self.pins[info]
            if pin_class is None and info.name in _PULSED:
                pin_class = MockPWMPin
        return super().pin(name, pin_class, **kwargs)

    def spi(self, **_: Any) -> SimulatedBus:
        """Give the bus; every input shares it."""
        return SimulatedBus(self)

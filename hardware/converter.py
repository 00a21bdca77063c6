"""The sensors on one analog-to-digital converter, read together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol, assert_never

from hardware.ports import Fault, Reading
from hardware.transducers import (
    REFERENCE_V,
    Calibration,
    PressureCalibration,
    ThermistorCalibration,
    pressure,
    temperature,
)
from hardware.uncertainty import (
    pressure_step,
    pressure_uncertainty,
    thermistor_step,
    thermistor_uncertainty,
)


class Input(Protocol):
    """One input of a converter, as the device library has it."""

    @property
    def raw_value(self) -> int:
        """Counts now, from 0 to two to the power of the converter's bits, less one."""

    def close(self) -> None:
        """Let the input go."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """A sensor: its name, the converter input it is wired to, its calibration."""

    name: str
    number: int
    calibration: Calibration


def check_channels(channels: Sequence[Channel], supply_number: int) -> None:
    """Refuse channels that share a name or an input, or take the supply's input.

    Raises
    ------
    ValueError
        Naming the clash, or an input that is not 0 to 7.
    """
    names = [channel.name for channel in channels]
    numbers = [supply_number, *(channel.number for channel in channels)]
    if len(set(names)) < len(names):
        raise ValueError(f"two channels share a name: {', '.join(names)}")
    if len(set(numbers)) < len(numbers):
        raise ValueError(
            f"two channels share a converter input, or take input {supply_number} "
            "of the supply; give each its own"
        )
    if not all(0 <= number <= 7 for number in numbers):
        raise ValueError(f"a converter has inputs 0 to 7, not {max(numbers)}")


class ConverterSensors:
    """Every channel of a converter; ``supply_number`` is the input on their supply.

    A device error while reading comes through as the library's own exception: then
    the converter is gone, not a sensor.
    """

    def __init__(
        self,
        channels: Sequence[Channel],
        inputs: Mapping[int, Input],
        *,
        supply_number: int,
        bits: int,
    ) -> None:
        check_channels(channels, supply_number)
        self._channels = tuple(channels)
        self._inputs = inputs
        self._supply_number = supply_number
        self._bits = bits
        self._counts = 1 << bits

    def read(self) -> tuple[Reading | Fault, ...]:
        """Read every channel, in the order they were given."""
        return tuple(self._read(channel) for channel in self._channels)

    def close(self) -> None:
        """Let the converter go; closing twice is allowed."""
        for one in self._inputs.values():
            one.close()

    def _volts(self, number: int) -> float:
        return self._inputs[number].raw_value / self._counts * REFERENCE_V

    def _read(self, channel: Channel) -> Reading | Fault:
        volts = self._volts(channel.number)
        match channel.calibration:
            case PressureCalibration() as calibration:
                # Read next to its signal, so that a dip in supply cancels too.
                supply = self._volts(self._supply_number)
                found = pressure(channel.name, volts, supply, calibration)
                if isinstance(found, Fault):
                    return found
                return replace(
                    found,
                    signal=volts,
                    uncertainty=pressure_uncertainty(
                        found.value, calibration, self._bits
                    ),
                    resolution=pressure_step(calibration, self._bits),
                )
            case ThermistorCalibration() as calibration:
                found = temperature(channel.name, volts, calibration)
                if isinstance(found, Fault):
                    return found
                value = found.value
                return replace(
                    found,
                    signal=volts,
                    uncertainty=thermistor_uncertainty(value, calibration, self._bits),
                    resolution=thermistor_step(value, calibration, self._bits),
                )
            case _:
                assert_never(channel.calibration)

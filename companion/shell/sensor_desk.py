"""Sensor readings and faults to the engine's inputs: good values, losses, returns.

A fault is told once, as a lost device; the sensor counts again only after it was good
for a while, so that a loose lead does not come and go all the time. Readings of a
scale whose load still moves count only with the valve open, where it moves by design.
"""

from typing import assert_never

from companion.job.disputes import sensor
from companion.job.inputs import DeviceFound, DeviceLost, Input, Sampled
from companion.knowledge.quantities import (
    GaugePressure,
    Mass,
    PressureDifference,
    Quantity,
    Temperature,
)
from companion.shell.arrivals import Sensed
from hardware import Fault, Reading

GOOD_FOR_S = 3.0
"""A sensor that failed must be good for so long to count again [s] (own value)."""
STALE_S = 1.5
"""Without any sample for so long, every sensor counts as lost [s] (own value)."""


class SensorDesk:
    """Keeps which sensors are lost, and the last sample; one for each job."""

    def __init__(self, names: tuple[str, ...]) -> None:
        self._names = names
        self._lost: dict[str, float] = {}  # since when each lost one is good again
        self._heard_at: float | None = None
        self._latest: Sampled | None = None

    @property
    def due(self) -> float | None:
        """The moment [s, job time] at which silence must be noticed, or None."""
        if self._heard_at is None or len(self._lost) == len(self._names):
            return None
        return self._heard_at + STALE_S

    def latest(self, at: float) -> Sampled | None:
        """Give what the sensors showed just before ``at``, if it is young enough."""
        found = self._latest
        return found if found is not None and at - found.at <= STALE_S else None

    def take(self, sensed: Sensed, at: float, *, valve_open: bool) -> list[Input]:
        """Give the inputs of a sample: losses first, then good values, then returns."""
        self._heard_at = at
        lost: list[Input] = []
        back: list[Input] = []
        readings: dict[str, Quantity] = {}
        errors: dict[str, float] = {}
        for each in sensed.found:
            if isinstance(each, Fault):
                lost += self._fail(each.channel, each.name, at)
                continue
            back += self._mend(each.channel, at)
            if each.channel not in self._lost and (each.stable or valve_open):
                readings[each.channel] = _quantity(each)
                errors[each.channel] = _error(each)
        self._latest = Sampled(at=at, readings=readings, errors=errors)
        return [*lost, *back, *([self._latest] if readings else [])]

    def watch(self, at: float) -> list[Input]:
        """Give the losses where no sample came for too long."""
        due = self.due
        if due is None or at < due:
            return []
        return [each for name in self._names for each in self._fail(name, "gone", at)]

    def _fail(self, name: str, fault: str, at: float) -> list[Input]:
        new = name not in self._lost
        self._lost[name] = float("inf")
        return [DeviceLost(at=at, device=sensor(name), reason=fault)] if new else []

    def _mend(self, name: str, at: float) -> list[Input]:
        if name not in self._lost:
            return []
        since = self._lost[name] = min(self._lost[name], at)
        if at - since < GOOD_FOR_S:
            return []
        del self._lost[name]
        return [DeviceFound(at=at, device=sensor(name))]


def _quantity(reading: Reading) -> Quantity:
    match reading.unit:
        case "psig":
            return GaugePressure.from_psi(reading.value)
        case "C":
            return Temperature.from_c(reading.value)
        case "kg":
            return Mass(max(0.0, reading.value))
        case _:
            assert_never(reading.unit)


def _error(reading: Reading) -> float:
    """Give the half-width of the error band in SI; half a step is the least."""
    band = max(reading.uncertainty, reading.resolution / 2)
    return PressureDifference.from_psi(band).pa if reading.unit == "psig" else band

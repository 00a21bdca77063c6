"""Notice in lines mode a suction sensor that does not move although refrigerant flows.

The box watches the signal on the wire itself. A line only has a number, and a number
that stays the same is no fault while a unit runs evenly. With the valve open it must
move: either the sensor hangs, or nothing flows, and then too the gauge is to be read.
"""

from companion.job.disputes import sensor
from companion.job.inputs import DeviceFound, DeviceLost, Input, Sampled
from companion.job.state import Open, Valve
from companion.knowledge.quantities import Quantity

STILL_OPEN_S = 5.0
"""The very same value for so long with the valve open, over one opening or more, is believed no more [s].

Our own value: most openings take longer, and the pressure answers within a second."""
_READING = "suction-pressure"


class StillSensor:
    """The watch over one job's suction sensor; hand it every sample."""

    def __init__(self) -> None:
        self._value: Quantity | None = None
        self._open_s = 0.0
        self._before: float | None = None
        self._lost = False

    def see(self, sample: Sampled, valve: Valve) -> list[Input]:
        """Give the inputs that take the sample's place, in their order."""
        value = sample.readings.get(_READING)
        if value is None:
            return [sample]
        moved = value != self._value
        if moved:
            self._open_s = 0.0
        elif self._before is not None and isinstance(valve, Open):
            self._open_s += max(0.0, sample.at - self._before)
        self._value = value
        self._before = sample.at if isinstance(valve, Open) else None
        if self._lost and moved:
            self._lost = False
            return [DeviceFound(at=sample.at, device=sensor(_READING)), sample]
        if not self._lost and self._open_s >= STILL_OPEN_S:
            self._lost = True
            lost = DeviceLost(at=sample.at, device=sensor(_READING), reason="frozen")
            return [lost, self._without(sample)]
        return [self._without(sample) if self._lost else sample]

    def _without(self, sample: Sampled) -> Sampled:
        rest = {key: each for key, each in sample.readings.items() if key != _READING}
        return Sampled(at=sample.at, readings=rest, errors=sample.errors)

"""Digital thermometers on the one-wire bus, read through the kernel's files.

They need no converter and no calibration, and are slow: a conversion of 12 bits takes
750 ms (data sheet, from memory), so each probe is read on a thread of its own and the
last value is handed out. Their error is 0.5 K from -10 to +85 C (data sheet, from
memory), the clamp's contact comes on top.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from math import hypot
from pathlib import Path

from hardware.ports import Fault, FaultName, Reading

BUS = Path("/sys/bus/w1/devices")
ERROR_K = 0.5
CONTACT_K = 0.2
STEP_K = 0.0625
RANGE_C = (-40.0, 110.0)
POWER_ON_C = 85.0
"""What a probe gives when it lost its supply before it had measured."""
STALE_S = 5.0
"""A value older than this is no value [s]."""
EVERY_S = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """One thermometer: the reading it gives, and its number on the bus."""

    name: str
    id: str


def read_probe(probe: Probe, bus: Path = BUS) -> Reading | Fault:
    """Measure now; takes most of a second on a real bus."""
    try:
        text = (bus / probe.id / "temperature").read_text().strip()
    except OSError:
        return _fault(
            probe, "open", f"no thermometer {probe.id} on the bus; check lead and plug"
        )
    try:
        celsius = int(text) / 1000
    except ValueError:
        return _fault(probe, "gone", "its answer is garbled; check lead and plug")
    if celsius == POWER_ON_C:
        return _fault(probe, "no-supply", "lost its supply; check lead and plug")
    if not RANGE_C[0] <= celsius <= RANGE_C[1]:
        return _fault(
            probe, "out-of-range", f"{celsius:g} C cannot be; check the probe"
        )
    return Reading(
        channel=probe.name,
        value=celsius,
        unit="C",
        uncertainty=hypot(ERROR_K, CONTACT_K),
        resolution=STEP_K,
    )


def _fault(probe: Probe, name: FaultName, message: str) -> Fault:
    return Fault(channel=probe.name, name=name, message=f"{probe.name}: {message}")


class ProbeReader:
    """Keeps reading one probe on a thread; :meth:`read` never waits."""

    def __init__(
        self, probe: Probe, clock: Callable[[], float], bus: Path = BUS
    ) -> None:
        self.probe = probe
        self._clock = clock
        self._bus = bus
        self._latest: tuple[float, Reading | Fault] | None = None
        self._since = clock()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name=probe.name, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._stop.is_set():
            found = read_probe(self.probe, self._bus)
            self._latest = (self._clock(), found)
            self._stop.wait(EVERY_S)

    def read(self) -> Reading | Fault:
        """Give the last value, or that there is none young enough."""
        latest = self._latest
        if latest is None or self._clock() - latest[0] > STALE_S:
            return _fault(self.probe, "gone", "does not answer; check the bus")
        return latest[1]

    def close(self) -> None:
        """Stop reading; a conversion under way ends by itself."""
        self._stop.set()
        self._thread.join(timeout=2)

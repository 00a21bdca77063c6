"""Sensors and supply, read five times a second on a thread of their own.

The cue path never waits for a converter, a bus or a serial line: it takes what was
read last, and notices when nothing was read for a while.
"""

import threading
from collections.abc import Callable

from companion.shell.arrivals import Arrival, Sensed
from companion.shell.clock import Clock
from hardware import SensorSet
from hardware.van import VanSupply

EVERY_S = 0.2
"""Time between two samples [s]."""


class Sampler:
    """Reads on a thread until closed; closes the sensors."""

    def __init__(
        self,
        clock: Clock,
        put: Callable[[Arrival], None],
        *,
        sensors: SensorSet | None,
        van: VanSupply | None,
        every_s: float = EVERY_S,
    ) -> None:
        self._clock = clock
        self._put = put
        self._sensors = sensors
        self._van = van
        self._every_s = every_s
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="sampler", daemon=True)
        self._thread.start()

    def _run(self) -> None:
        due = self._clock.now()
        while not self._stop.wait(max(0.0, due - self._clock.now())):
            due = max(due + self._every_s, self._clock.now())
            self._sample()

    def _sample(self) -> None:
        now = self._clock.now()
        if self._sensors is not None:
            self._put(Sensed(at=now, found=self._sensors.read(now)))
        if self._van is not None:
            power = self._van.tick(now)
            if power is not None:
                self._put(power)

    def close(self) -> None:
        """Stop; a reading that hangs is left behind."""
        self._stop.set()
        self._thread.join(timeout=2)
        if self._sensors is not None and not self._thread.is_alive():
            self._sensors.close()

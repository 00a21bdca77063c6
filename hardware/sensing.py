"""All sensors of a box, read together, each under its own watch.

A sensor that fails, and a converter or bus that stops answering, give faults by name;
:meth:`SensorSet.read` never raises and never waits for a slow device.
"""

from collections.abc import Callable
from contextlib import ExitStack
from typing import Protocol

from hardware.board import Board
from hardware.calibration import SensorPlan
from hardware.one_wire import ProbeReader
from hardware.ports import Fault, HardwareError, Reading, Sensors
from hardware.scale import SerialScale
from hardware.watching import SignalWatch


class _Single(Protocol):
    def read(self) -> Reading | Fault: ...

    def close(self) -> None: ...


class SensorSet:
    """The sensors of a plan; see :func:`open_sensors`.

    ``names`` are the readings it may give; ``notes`` say what could not be opened.
    """

    def __init__(
        self,
        *,
        names: tuple[str, ...],
        converter: Sensors | None,
        on_converter: tuple[str, ...],
        singles: tuple[_Single, ...],
        notes: tuple[str, ...] = (),
    ) -> None:
        self.names = names
        self.notes = notes
        self._converter = converter
        self._on_converter = on_converter
        self._singles = singles
        self._watches = {name: SignalWatch() for name in names}

    def read(self, now: float) -> tuple[Reading | Fault, ...]:
        """Read everything at ``now`` [s]."""
        found = (*self._converted(), *(each.read() for each in self._singles))
        return tuple(self._watches[each.channel].see(each, now) for each in found)

    def _converted(self) -> tuple[Reading | Fault, ...]:
        if self._converter is None:
            return self._gone("could not be opened; see what was said at the start")
        try:
            return self._converter.read()
        except Exception as problem:  # noqa: BLE001 - the library raises what it likes
            return self._gone(f"the converter does not answer ({problem})")

    def _gone(self, why: str) -> tuple[Fault, ...]:
        return tuple(
            Fault(channel=name, name="gone", message=f"{name}: {why}")
            for name in self._on_converter
        )

    def close(self) -> None:
        """Let every device go; the converter belongs to its board."""
        with ExitStack() as closing:
            for each in self._singles:
                closing.callback(each.close)


def open_sensors(
    board: Board, plan: SensorPlan, clock: Callable[[], float]
) -> SensorSet:
    """Open what a plan names; what cannot be opened reads as gone and is noted.

    ``clock`` gives seconds that never go back.
    """
    notes: list[str] = []
    converter: Sensors | None = None
    if plan.channels:
        try:
            converter = board.sensors(
                plan.channels, supply_number=plan.supply_input, bits=plan.bits
            )
        except HardwareError as trouble:
            notes.append(str(trouble))
    singles: list[_Single] = [ProbeReader(probe, clock) for probe in plan.probes]
    if plan.scale is not None:
        singles.append(SerialScale(plan.scale, clock))
    return SensorSet(
        names=tuple(plan.dates),
        converter=converter,
        on_converter=tuple(channel.name for channel in plan.channels),
        singles=tuple(singles),
        notes=tuple(notes),
    )

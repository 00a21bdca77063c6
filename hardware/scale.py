"""A scale on a serial line: one line of text, one weight.

Scales differ in what they send, so the line's form is a pattern in the sensors' file,
with the groups ``value``, ``unit`` and, where the scale tells whether its load is at
rest, ``rest``. The pattern of ours expects ``S 12.345 kg`` at rest and ``U`` moving.
"""

import importlib
import re
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from hardware.ports import Fault, HardwareError, Reading

KG: dict[str, float] = {
    "kg": 1.0,
    "g": 0.001,
    "lb": 0.453_592_37,
    "oz": 0.028_349_523_125,
}
"""Kilograms of each unit a scale may send (exact by definition)."""
PATTERN = r"(?P<rest>[SU])\s*(?P<value>[+-]?\s*\d+(?:\.\d+)?)\s*(?P<unit>kg|g|lb|oz)"
STALE_S = 2.0
"""A weight older than this is no weight [s]."""
LONGEST = 200
"""No line of a scale is longer [characters]; more is noise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleSetting:
    """How a scale is reached and read.

    Attributes
    ----------
    name
        Of the reading it gives.
    port, baud
        The serial line.
    pattern, at_rest
        The form of a line, and what the group ``rest`` holds when the load is at rest.
    step_kg, error_kg
        Its smallest step, and the half-width of its error band.
    """

    name: str
    port: str = "/dev/scale"
    baud: int = 9600
    pattern: str = PATTERN
    at_rest: str = "S"
    step_kg: float = 0.01
    error_kg: float = 0.02


class Line(Protocol):
    """A serial line, as the library has it; a read waits a second at most."""

    def readline(self, size: int = -1, /) -> bytes:
        """Give a line, or what came of it in time."""

    def close(self) -> None:
        """Let the line go."""


def open_line(setting: ScaleSetting) -> Line:
    """Open the serial line.

    Raises
    ------
    HardwareError
        If the package or the scale is missing; the message gives the cure.
    """
    try:
        library: Any = importlib.import_module("serial")
    except ImportError as problem:
        raise HardwareError(
            "a scale needs the package pyserial; install the companion again"
        ) from problem
    try:
        line: Line = library.Serial(setting.port, setting.baud, timeout=1.0)
    except (OSError, ValueError) as problem:
        raise HardwareError(
            f"the scale at {setting.port} cannot be opened ({problem}); plug it in, "
            "and add the user to the group dialout"
        ) from problem
    return line


def read_line(text: str, setting: ScaleSetting) -> Reading | None:
    """Make a weight of one line; a line of another form gives nothing."""
    found = re.search(setting.pattern, text)
    if found is None:
        return None
    parts = found.groupdict()
    factor = KG.get((parts.get("unit") or "").lower())
    if factor is None:
        return None
    try:
        value = float(parts["value"].replace(" ", ""))
    except (KeyError, ValueError):
        return None
    return Reading(
        channel=setting.name,
        value=value * factor,
        unit="kg",
        uncertainty=setting.error_kg,
        resolution=setting.step_kg,
        stable=parts.get("rest") in (None, setting.at_rest),
    )


class SerialScale:
    """Reads lines on a thread and opens the line again after it was lost."""

    def __init__(
        self,
        setting: ScaleSetting,
        clock: Callable[[], float],
        opener: Callable[[ScaleSetting], Line] = open_line,
    ) -> None:
        self.setting = setting
        self._clock = clock
        self._open = opener
        self._latest: tuple[float, Reading] | None = None
        self._why = "sends nothing; switch it on"
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="scale", daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._stop.is_set():
            try:
                line = self._open(self.setting)
            except HardwareError as problem:
                self._why = str(problem)
                self._stop.wait(2.0)
                continue
            try:
                self._listen(line)
            except (OSError, TypeError) as problem:
                # The library raises a TypeError where its port is pulled out in a read.
                self._why = f"lost: {problem}"
            finally:
                line.close()

    def _listen(self, line: Line) -> None:
        while not self._stop.is_set():
            text = line.readline(LONGEST).decode("ascii", "replace")
            found = read_line(text, self.setting)
            if found is not None:
                self._latest = (self._clock(), found)
            elif text.strip():
                self._why = f"sends {text.strip()!r}, which its pattern does not fit"

    def read(self) -> Reading | Fault:
        """Give the last weight, or why there is none."""
        latest = self._latest
        if latest is None or self._clock() - latest[0] > STALE_S:
            name = self.setting.name
            return Fault(channel=name, name="gone", message=f"{name}: {self._why}")
        return latest[1]

    def close(self) -> None:
        """Stop and let the line go."""
        self._stop.set()
        self._thread.join(timeout=3)

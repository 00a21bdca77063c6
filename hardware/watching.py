"""Watch one sensor over time: a frozen or jumping signal is a fault, not a number.

A live signal is never at rest to the last count: the converter's own noise, the
compressor's beat and the supply move it. One that gives exactly the same value for
long is frozen. And nothing it measures can change faster than so much: a pressure that
is 30 psi higher a fifth of a second later is a loose lead. After a jump the sensor is
believed again once it has been steady for a while, or is back where it was.

All values here are our own, to be tried on a board.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hardware.ports import Fault, FaultName, Reading, Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Nature:
    """How a kind of signal can behave.

    Attributes
    ----------
    frozen_s
        The very same value for so long [s] is frozen.
    step, rate
        The largest believable change: so much at once, and so much a second.
    """

    frozen_s: float
    step: float
    rate: float


NATURES: Mapping[Unit, Nature] = MappingProxyType(
    {
        "psig": Nature(frozen_s=10.0, step=4.0, rate=20.0),
        "C": Nature(frozen_s=180.0, step=2.0, rate=2.0),
    }
)
"""By unit; a scale is not watched: loads are put on and taken off it by hand."""
STEADY_S = 2.0
"""After a jump a signal must be steady for so long to be believed again [s]."""


class SignalWatch:
    """The watch over one channel; hand it every reading with its time."""

    def __init__(self) -> None:
        self._good: Reading | None = None
        self._last: Reading | None = None
        self._last_at = 0.0
        self._same_since = 0.0
        self._jumped_at: float | None = None

    def see(self, found: Reading | Fault, at: float) -> Reading | Fault:
        """Pass a reading on, or the fault that it shows together with those before."""
        if isinstance(found, Fault) or found.unit not in NATURES:
            self._last = self._good = self._jumped_at = None
            return found
        nature = NATURES[found.unit]
        self._note_same(found, at)
        jumped = self._jumped(found, at, nature)
        self._last, self._last_at = found, at
        if jumped:
            return _fault(found, "jumping", "jumps about; check its plug and lead")
        if at - self._same_since >= nature.frozen_s:
            return _fault(
                found,
                "frozen",
                "has not moved at all; check the converter and its lead",
            )
        self._good = found
        return found

    def _note_same(self, found: Reading, at: float) -> None:
        """Note since when the signal stands still: the wire's own, where there is one.

        A transducer that hangs would otherwise move with the noise of its supply.
        """
        if self._last is None or _still(found) != _still(self._last):
            self._same_since = at

    def _jumped(self, found: Reading, at: float, nature: Nature) -> bool:
        """Tell whether the signal has jumped, now or not long enough ago."""
        last = self._last
        reach = nature.step + nature.rate * (at - self._last_at)
        if last is not None and abs(found.value - last.value) > reach:
            self._jumped_at = at
        if self._jumped_at is None:
            return False
        good = self._good
        back = good is not None and abs(found.value - good.value) <= nature.step
        if back or at - self._jumped_at >= STEADY_S:
            self._jumped_at = None
            return False
        return True


def _still(reading: Reading) -> float:
    return reading.value if reading.signal is None else reading.signal


def _fault(found: Reading, name: FaultName, message: str) -> Fault:
    return Fault(
        channel=found.channel, name=name, message=f"{found.channel}: {message}"
    )

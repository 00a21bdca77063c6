"""What the buttons and sensors report, and what a panel and a set of sensors can do."""

from dataclasses import dataclass
from typing import Literal, Protocol, TypeAlias

Button: TypeAlias = Literal["confirm", "say-again", "stop", "talk"]
Lamp: TypeAlias = Literal["listening", "attention"]
LampPattern: TypeAlias = Literal["off", "lit", "slow", "fast"]
Buzz: TypeAlias = Literal[
    "taken", "again", "question", "information", "open", "caution", "danger"
]
SoundPattern: TypeAlias = Literal["silent", "information", "caution", "danger"]
Unit: TypeAlias = Literal["psig", "C"]
FaultName: TypeAlias = Literal["open", "shorted", "out-of-range", "no-supply"]


class HardwareError(RuntimeError):
    """A device cannot be used; the message says which, why, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """A button went down, has been held a second, or came up."""

    button: Button
    at_press: Literal["down", "held", "up"]
    kind: Literal["pressed"] = "pressed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a sensor shows now: a gauge pressure [psig] or a temperature [C]."""

    channel: str
    value: float
    unit: Unit
    kind: Literal["reading"] = "reading"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Why a sensor shows nothing; a fault is never turned into a number.

    ``open`` is a broken or grounded lead, ``shorted`` a lead that touches its
    supply (a thermistor: its other lead), ``out-of-range`` a signal beyond what
    the sensor can measure, ``no-supply`` a wrong voltage on the sensors' supply.
    """

    channel: str
    name: FaultName
    message: str
    kind: Literal["fault"] = "fault"


class Panel(Protocol):
    """Buttons, and lamps, sounder and vibration moved on by the caller's time."""

    @property
    def stuck(self) -> tuple[Button, ...]:
        """The buttons that were down when the panel was opened."""

    def show(self, lamp: Lamp, pattern: LampPattern) -> None:
        """Start a lamp pattern; its first phase shows at once."""

    def sound(self, pattern: SoundPattern) -> None:
        """Start a pattern on sounder and vibration; its first phase starts at once."""

    def feel(self, buzz: Buzz) -> None:
        """Start a vibration alone; a danger that repeats is not disturbed by it."""

    def count(self, digit: int) -> None:
        """Give a digit as so many pulses, and zero as one long one."""

    def tick(self, now: float) -> float | None:
        """Move every pattern on to ``now`` [s].

        Give the time of the next change, None if nothing will change by itself.
        """

    def close(self) -> None:
        """Switch everything off and let the pins go."""


class Sensors(Protocol):
    """A set of sensors that are read all at once."""

    def read(self) -> tuple[Reading | Fault, ...]:
        """Read every channel, in the order they were given."""

    def close(self) -> None:
        """Let the converter go."""

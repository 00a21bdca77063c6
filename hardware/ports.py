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
Unit: TypeAlias = Literal["psig", "C", "kg"]
FaultName: TypeAlias = Literal[
    "open", "shorted", "out-of-range", "no-supply", "frozen", "jumping", "gone"
]


class HardwareError(RuntimeError):
    """A device cannot be used; the message says which, why, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """A button went down, has been held a second, is still held, or came up.

    "repeat" comes once a second after "held", for as long as the button is down.
    """

    button: Button
    at_press: Literal["down", "held", "repeat", "up"]
    kind: Literal["pressed"] = "pressed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a sensor shows now: gauge pressure [psig], temperature [C] or mass [kg].

    ``uncertainty`` is the half-width of its error band and ``resolution`` its smallest
    step, both in the same unit; zero where they are not known. ``stable`` is false
    while a scale says that its load still moves. ``signal`` is what the sensor's own
    wire carried, before its supply was taken into account [V]; None where there is none.
    """

    channel: str
    value: float
    unit: Unit
    uncertainty: float = 0.0
    resolution: float = 0.0
    stable: bool = True
    signal: float | None = None
    kind: Literal["reading"] = "reading"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Why a sensor shows nothing; a fault is never turned into a number.

    ``open`` is a broken or grounded lead, ``shorted`` a lead that touches its
    supply (a thermistor: its other lead), ``out-of-range`` a signal beyond what
    the sensor can measure, ``no-supply`` a wrong voltage on the sensors' supply.
    ``frozen`` is a signal without its natural unrest, ``jumping`` one that changes
    faster than anything it measures can, ``gone`` a device that does not answer.
    """

    channel: str
    name: FaultName
    message: str
    kind: Literal["fault"] = "fault"


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """What feeds the box: whether the ignition is on, and whether on backup power."""

    ignition: bool
    backup: bool
    kind: Literal["power"] = "power"


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

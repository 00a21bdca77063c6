"""Everything that can reach the engine, each with the time it happened.

``at`` is in seconds on the job's own time line, which never goes back. What was said
arrives understood (:data:`Said`): the words themselves ride along for the record.
"""

from dataclasses import dataclass, field
from typing import Literal

from companion.knowledge.quantities import AbsolutePressure, Quantity

ControlWord = Literal[
    "stop",
    "close",
    "closed",
    "opened",
    "ready",
    "again",
    "why",
    "back",
    "status",
    "help",
    "yes",
    "no",
    "done",
    "unknown",
    "noise",
    "wait",
    "continue",
]
Button = Literal["confirm", "say-again", "stop", "talk", "closed"]

DEVICES = (
    "microphone",
    "recogniser",
    "speaker",
    "record",
    "board",
    "sensors",
    "keyboard",
    "supply",
    "suction-pressure-sensor",
    "liquid-pressure-sensor",
    "suction-line-temperature-sensor",
    "liquid-line-temperature-sensor",
    "outdoor-temperature-sensor",
    "cylinder-weight-sensor",
)
"""Plain names of the devices that can be lost and found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidControl:
    """A control word."""

    word: ControlWord
    kind: Literal["control"] = "control"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidQuantity:
    """A number with the unit the question asks in, or the unit that was said."""

    quantity: Quantity
    kind: Literal["quantity"] = "quantity"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidOutOfRange:
    """A number, heard well, that this question can never take; the bounds have a unit."""

    value: str
    low: str
    high: str
    unit: str = ""
    kind: Literal["out-of-range"] = "out-of-range"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidWrongUnit:
    """A number with a unit of another kind than the question asks for."""

    unit: str
    wanted: str
    kind: Literal["wrong-unit"] = "wrong-unit"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidName:
    """A refrigerant designation."""

    designation: str
    kind: Literal["name"] = "name"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidNameUnclear:
    """A designation without its letter, or close to several others."""

    candidates: tuple[str, ...]
    kind: Literal["name-unclear"] = "name-unclear"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidChoice:
    """One of the options that the question offers."""

    option: str
    kind: Literal["choice"] = "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidUnclear:
    """Words, or sound, that mean nothing here."""

    kind: Literal["unclear"] = "unclear"


Said = (
    SaidControl
    | SaidQuantity
    | SaidOutOfRange
    | SaidWrongUnit
    | SaidName
    | SaidNameUnclear
    | SaidChoice
    | SaidUnclear
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A job begins, with the settings it runs under."""

    at: float
    job: str
    ambient: AbsolutePressure
    units: Literal["us", "si"] = "us"
    kind: Literal["begun"] = "begun"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Something was said, or typed, and understood, surely or not.

    ``sensed`` is what the sensors showed just then, where there are any.
    """

    at: float
    said: Said
    words: str
    sure: bool
    by: Literal["voice", "typed", "button"] = "voice"
    sensed: "Sampled | None" = None
    kind: Literal["heard"] = "heard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """A button went down."""

    at: float
    button: Button
    kind: Literal["pressed"] = "pressed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """Sensors were read; only those that gave a good value are in ``readings``.

    The keys are reading names such as ``suction-pressure``. ``errors`` holds the
    half-width of each one's error band, in the reading's SI unit.
    """

    at: float
    readings: dict[str, Quantity] = field(default_factory=dict)
    errors: dict[str, float] = field(default_factory=dict)
    kind: Literal["sampled"] = "sampled"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticked:
    """The moment came that the engine had asked to be woken at, or just time."""

    at: float
    kind: Literal["ticked"] = "ticked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """The program starts again in the middle of this job."""

    at: float
    kind: Literal["resumed"] = "resumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceLost:
    """A device is gone; ``device`` is one of :data:`DEVICES`."""

    at: float
    device: str
    reason: str = ""
    kind: Literal["device-lost"] = "device-lost"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceFound:
    """A device that was gone is back."""

    at: float
    device: str
    kind: Literal["device-found"] = "device-found"


Input = Begun | Heard | Pressed | Sampled | Ticked | Resumed | DeviceLost | DeviceFound

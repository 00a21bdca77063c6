"""The two ports of the kit, what comes out of them, and its errors."""

from dataclasses import dataclass
from typing import Literal, Protocol

from speech.vocabulary import Vocabulary

Device = Literal["microphone", "listener", "speaker"]
Pattern = Literal["information", "caution", "danger"]


class SpeechError(Exception):
    """Base of the kit's errors; the message says what, where and what to do."""


class SpeechFileError(SpeechError, ValueError):
    """A file handed to the kit is missing, broken or of the wrong kind."""


class DeviceError(SpeechError, OSError):
    """A sound device, program or library that is needed is not there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """One stretch of speech or other sound.

    ``words`` is empty for sound that was no speech we know. ``confidence`` runs from
    0 to 1. ``sure`` is true only where measurements showed near-zero wrong accepts:
    anything else must be read back before it is used. ``begin`` and ``end`` are
    seconds of the listener's own stream.
    """

    words: str
    confidence: float
    sure: bool
    engine: str
    begin: float
    end: float

    def __post_init__(self) -> None:
        if not 0 <= self.confidence <= 1:
            raise ValueError(f"confidence must be 0 to 1, not {self.confidence}")
        if not 0 <= self.begin <= self.end:
            raise ValueError(f"heard from {self.begin} s to {self.end} s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """A device or process that died; ``reason`` says why and what to do."""

    device: Device
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A device that was lost and works again."""

    device: Device


class Listener(Protocol):
    """Hears what the vocabulary allows."""

    @property
    def pending(self) -> bool:
        """True while something fed or typed has not come out of :meth:`poll` yet."""

    def expect(self, vocabulary: Vocabulary) -> None:
        """Listen for this from the next utterance on."""

    def mute(self, muted: bool) -> None:
        """Go deaf while the companion talks; true means deaf."""

    def poll(self) -> list[Heard | Lost]:
        """Give what is ready, oldest first, without waiting."""

    def close(self) -> None:
        """Let go of devices and processes; may be called twice."""


class Speaker(Protocol):
    """Speaks sentences and sounds tones."""

    @property
    def talking(self) -> bool:
        """True while sound comes out or waits to."""

    def say(self, text: str, *, urgent: bool = False, instead: bool = False) -> None:
        """Speak after what is being said; urgent speech cuts ordinary speech off.

        With ``instead`` an ordinary sentence takes the place of those before it.
        """

    def tone(self, pattern: Pattern, *, urgent: bool = False) -> None:
        """Sound one of the three urgency patterns; an urgent one cuts speech off."""

    def close(self) -> None:
        """Fall silent and let go of devices and processes; may be called twice."""

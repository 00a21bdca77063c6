"""What an engine is: an utterance and what may be said go in, words come out."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol, assert_never

from speech.language import LanguageId
from speech.segmenter import Segment
from speech.vocabulary import Vocabulary

EngineName = Literal["vosk", "pocketsphinx"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineChoice:
    """Which engine to load; ``model_folder`` is needed by vosk only.

    The bundled engine knows English alone; ``language`` is for vosk's word lists.
    """

    engine: EngineName
    model_folder: str = ""
    language: LanguageId = "en"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Question:
    """An utterance to decode; without one, the words that can never be heard are asked for."""

    segment: Segment | None
    vocabulary: Vocabulary


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """Words of one utterance; empty when it was no speech that may be said now.

    ``confidence`` and ``sure`` are those of :class:`speech.ports.Heard`.
    """

    words: str
    confidence: float
    sure: bool


NOTHING = Decoded(words="", confidence=0.0, sure=False)


class Engine(Protocol):
    """A speech recogniser; lives in a process of its own."""

    def decode(self, segment: Segment, vocabulary: Vocabulary) -> Decoded:
        """Find the words of one utterance among what may be said now."""

    def unknown_words(self, vocabulary: Vocabulary) -> tuple[str, ...]:
        """Give the words of the vocabulary that this engine can never hear."""


def build_engine(choice: EngineChoice) -> Engine:
    """Load an engine here and now, in this process; takes seconds.

    Raises
    ------
    SpeechError
        If its library or model is missing or broken; the message names the cure.
    """
    match choice.engine:
        case "vosk":
            from speech.vosk_listener import VoskEngine

            return VoskEngine(Path(choice.model_folder), language=choice.language)
        case "pocketsphinx":
            from speech.pocketsphinx_listener import PocketsphinxEngine

            return PocketsphinxEngine()
        case _:
            assert_never(choice.engine)

"""The bundled engine without anything of ours: one decode, believed as it is."""

from importlib import import_module
from pathlib import Path
from typing import Any

from speech import Number, understand
from speech.pocketsphinx_listener import PocketsphinxEngine
from speech.sound import Samples
from tests.benchmarks.hearing_dialogue import Reading


class Freely:
    """The engine with its open vocabulary, one decode."""

    def __init__(self) -> None:
        self._decoder = decoder(lm=str(model_folder() / "en-us.lm.bin"))

    def words(self, sound: Samples) -> str:
        """Give the words it finds in a sound."""
        return decoded(self._decoder, sound)


def model_folder() -> Path:
    """Give the folder of the engine's own model."""
    return Path(import_module("pocketsphinx").get_model_path()) / "en-us"


def decoder(**settings: object) -> Any:
    """Make the engine's decoder with its own model."""
    library, model = import_module("pocketsphinx"), model_folder()
    return library.Decoder(
        library.Config(
            hmm=str(model / "en-us"),
            dict=str(model / "cmudict-en-us.dict"),
            loglevel="FATAL",
            **settings,
        )
    )


def decoded(engine: Any, sound: Samples) -> str:
    """Give the words that the engine's own decoder finds in a sound."""
    engine.start_utt()
    engine.process_raw(sound.astype("<i2").tobytes(), full_utt=True)
    engine.end_utt()
    found = engine.hyp()
    return "" if found is None else str(found.hypstr)


class Raw:
    """One decode in the prompt's grammar, or in the engine's open vocabulary."""

    def __init__(self, engine: PocketsphinxEngine) -> None:
        self._engine = engine
        self._freely = Freely()

    def fate(self, reading: Reading, path: str) -> str:
        """Tell what came of a reading's first utterance: right, rejected or wrong."""
        sound, vocabulary = reading.first_sound, reading.vocabulary
        if sound is None or vocabulary is None:
            return "rejected"
        if path == "grammar":
            words = self._engine.one_decode(sound, vocabulary)
        else:
            words = self._freely.words(sound)
        meaning = understand(words, vocabulary)
        if not isinstance(meaning, Number):
            return "rejected"
        return "right" if meaning.value == reading.value else "wrong"

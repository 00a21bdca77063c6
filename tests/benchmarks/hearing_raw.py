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
        library = import_module("pocketsphinx")
        model = Path(library.get_model_path()) / "en-us"
        self._decoder: Any = library.Decoder(
            library.Config(
                hmm=str(model / "en-us"),
                dict=str(model / "cmudict-en-us.dict"),
                lm=str(model / "en-us.lm.bin"),
                loglevel="FATAL",
            )
        )

    def words(self, sound: Samples) -> str:
        """Give the words it finds in a sound."""
        return decoded(self._decoder, sound)


def decoded(decoder: Any, sound: Samples) -> str:
    """Give the words that the engine's own decoder finds in a sound."""
    decoder.start_utt()
    decoder.process_raw(sound.astype("<i2").tobytes(), full_utt=True)
    decoder.end_utt()
    found = decoder.hyp()
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

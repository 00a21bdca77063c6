"""The bundled engine without anything of ours: one decode, believed as it is."""

from importlib import import_module
from pathlib import Path
from typing import Any

from speech import Number, understand
from speech.pocketsphinx_listener import PocketsphinxEngine
from speech.sound import Samples
from tests.benchmarks.hearing_dialogue import Reading


class Raw:
    """One decode in the prompt's grammar, or in the engine's open vocabulary."""

    def __init__(self, engine: PocketsphinxEngine) -> None:
        self._engine = engine
        library = import_module("pocketsphinx")
        model = Path(library.get_model_path()) / "en-us"
        self._open: Any = library.Decoder(
            library.Config(
                hmm=str(model / "en-us"),
                dict=str(model / "cmudict-en-us.dict"),
                lm=str(model / "en-us.lm.bin"),
                loglevel="FATAL",
            )
        )

    def fate(self, reading: Reading, path: str) -> str:
        """Tell what came of a reading's first utterance: right, rejected or wrong."""
        sound, vocabulary = reading.first_sound, reading.vocabulary
        if sound is None or vocabulary is None:
            return "rejected"
        if path == "grammar":
            words = self._engine.one_decode(sound, vocabulary)
        else:
            words = self._freely(sound)
        meaning = understand(words, vocabulary)
        if not isinstance(meaning, Number):
            return "rejected"
        return "right" if meaning.value == reading.value else "wrong"

    def _freely(self, sound: Samples) -> str:
        self._open.start_utt()
        self._open.process_raw(sound.astype("<i2").tobytes(), full_utt=True)
        self._open.end_utt()
        found = self._open.hyp()
        return "" if found is None else str(found.hypstr)

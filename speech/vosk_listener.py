"""The vosk recogniser: a word list made anew for each vocabulary.

Words that the model lacks are left out, since the library would only warn; ask
:meth:`VoskEngine.unknown_words` for them. A result is never ``sure``: no wrong-accept
rate has been measured with an English model of this engine.
"""

import ctypes
import json
from importlib import import_module
from pathlib import Path
from typing import Any

from speech.decoding import NOTHING, Decoded
from speech.grammar import phrase_list, unknown_words
from speech.language import LANGUAGES, LanguageId
from speech.phrases import Phrases, shipped_phrases
from speech.ports import DeviceError
from speech.segmenter import Segment
from speech.sound import RATE
from speech.vocabulary import Vocabulary
from speech.vosk_model import check_model_folder
from speech.words import UNKNOWN

_UNKNOWN_NAMES = (UNKNOWN, "<unk>", "<UNK>", "[UNK]")  # it differs from model to model
_MUST_KNOW = ("cerrada", "afirmativo", "cuatro")  # without these no job can be done
_KEPT = 8  # recognisers of the last vocabularies; building one costs milliseconds


class VoskEngine:
    """A vosk model with a recogniser for each vocabulary.

    Raises
    ------
    SpeechFileError
        If the folder holds no usable model.
    DeviceError
        If the library cannot be loaded, or the model does not know the words that a
        Spanish technician needs.
    """

    def __init__(
        self,
        model_folder: Path,
        phrases: Phrases | None = None,
        language: LanguageId = "en",
    ) -> None:
        check_model_folder(model_folder)
        self._vosk = _load_vosk()
        self._model = self._vosk.Model(str(model_folder))
        self._phrases = phrases or shipped_phrases(language)
        self._language = LANGUAGES[language]
        self._recognisers: dict[str, Any] = {}
        known = [name for name in _UNKNOWN_NAMES if self.knows(name)]
        self._unknown = known[0] if known else ""
        if language == "es" and not all(map(self.knows, _MUST_KNOW)):
            raise DeviceError(
                f"{model_folder}: this model does not know Spanish "
                f"({', '.join(_MUST_KNOW)}); unpack a Spanish Vosk model and set "
                "model_folder to it"
            )

    def knows(self, word: str) -> bool:
        """Tell whether the model can hear a word."""
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def unknown_words(self, vocabulary: Vocabulary) -> tuple[str, ...]:
        """Give the words of the vocabulary that the model lacks.

        ``[unk]`` among them means that the model cannot tell other speech from ours.
        """
        lacking = unknown_words(vocabulary, self._phrases, self.knows, self._language)
        return lacking if self._unknown else (*lacking, UNKNOWN)

    def decode(self, segment: Segment, vocabulary: Vocabulary) -> Decoded:
        """Find the words of one utterance; ``[unk]`` stands for other speech in it."""
        phrases = phrase_list(vocabulary, self._phrases, self.knows, self._language)
        if not phrases:
            return NOTHING
        if self._unknown:
            phrases.append(self._unknown)
        recogniser = self._recogniser(json.dumps(phrases, ensure_ascii=False))
        recogniser.AcceptWaveform(segment.samples.astype("<i2").tobytes())
        found = json.loads(recogniser.FinalResult())
        return _decoded(found, self._unknown)

    def _recogniser(self, grammar: str) -> Any:
        recogniser = self._recognisers.pop(grammar, None)
        if recogniser is None:
            recogniser = self._vosk.KaldiRecognizer(self._model, RATE, grammar)
            recogniser.SetWords(True)
        self._recognisers[grammar] = recogniser  # the newest comes last
        if len(self._recognisers) > _KEPT:
            del self._recognisers[next(iter(self._recognisers))]
        return recogniser


def _decoded(found: dict[str, Any], unknown: str) -> Decoded:
    results = found.get("result", ())
    words = [
        UNKNOWN if word["word"] == unknown else str(word["word"]) for word in results
    ]
    if not set(words) - {UNKNOWN}:
        return NOTHING
    weakest = min(float(word["conf"]) for word in results)
    confidence = 0.0 if UNKNOWN in words else min(max(weakest, 0.0), 1.0)
    return Decoded(words=" ".join(words), confidence=confidence, sure=False)


def _load_vosk() -> Any:
    """Import vosk without upsetting other C++ libraries of the process.

    Its shared library exports its own copy of the C++ runtime. Loading the system's
    first, for everybody, settles which one is used.
    """
    try:
        ctypes.CDLL("libstdc++.so.6", mode=ctypes.RTLD_GLOBAL)
        vosk = import_module("vosk")
    except OSError as problem:
        if "libatomic" in str(problem):
            raise DeviceError(
                "vosk needs a system library: sudo apt install libatomic1"
            ) from problem
        raise DeviceError(f"vosk cannot be loaded: {problem}") from problem
    vosk.SetLogLevel(-1)
    return vosk

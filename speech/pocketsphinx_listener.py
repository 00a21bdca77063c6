"""The pocketsphinx recogniser, made careful: nothing is believed from one decode.

Each utterance is decoded five times. Where a number is due: with the noise lowered and
the same slightly faster, in the words as the dictionary has them; these two and the sound
as it is in digits that may have lost their sharp consonants (:mod:`speech.loose_words`);
all on a faint bed of noise. Else: with the noise lowered, as it is, slightly slower and
faster, all four on the bed, and once without the bed. Decodes vote with what they mean,
not with their words. A sixth pass lets the same sound be any string of phones: speech
that is not in the grammar fits that far better, and is turned away by the difference. The
thresholds are in :mod:`speech.evidence`. Two more look for stop and close, see
:mod:`speech.urgent`.

The engine's own score plays no other part: it says nothing about right and wrong.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from speech.decoding import NOTHING, Decoded
from speech.evidence import Evidence, judge
from speech.grammar import jsgf, unknown_words
from speech.loose_words import LOOSE, as_written, loosely, spelling
from speech.phrases import Phrases, shipped_phrases
from speech.ports import DeviceError
from speech.segmenter import Segment
from speech.sound import RATE, Samples, to_samples
from speech.urgent import (
    OTHERS,
    PRONOUNCED,
    UrgentEvidence,
    phrase_grammar,
    urgent_phrases,
)
from speech.versions import of_digits, of_words
from speech.vocabulary import ALWAYS, Vocabulary

_SETTINGS = {
    "lw": 1.0,  # a grammar needs no help against the sound
    "silprob": 0.2,
    "topn": 8,
    "bestpath": False,
    "cmn": "batch",  # no utterance depends on the one before it
    "lm": None,
    "loglevel": "FATAL",
}
_PRONOUNCED = {
    "xray": "EH K S R EY",
    "kilopascal": "K IH L OW P AE S K AE L",
    "kilopascals": "K IH L OW P AE S K AE L Z",
}
_DITHER = 3.0  # counts; digital silence breaks the engine
_EDGE = RATE // 10  # of dither before and after
_LEAST_SPOKEN = 15  # frames of 10 ms; in bare noise the engine finds words of 3 to 8
_PHONES = "phones"
_AROUND = 80  # frames: the edges of dither, of the bed, and of the cutter
_LOG_BASE = 1.0001  # of the engine's scores
_KEPT = 24  # grammars


class PocketsphinxEngine:
    """The engine with the English model of its own package.

    ``floor`` is the least gain of the noise reduction.

    Raises
    ------
    DeviceError
        If the library or its model is missing.
    """

    def __init__(self, phrases: Phrases | None = None, floor: float = 0.15) -> None:
        self._floor = floor
        try:
            library = import_module("pocketsphinx")
        except ImportError as problem:
            raise DeviceError(
                "pocketsphinx is not installed: pip install pocketsphinx"
            ) from problem
        model = Path(library.get_model_path()) / "en-us"
        if not (model / "en-us" / "mdef").is_file():
            raise DeviceError(
                f"{model}: the model is missing; install pocketsphinx anew"
            )
        self._phrases = phrases or shipped_phrases()
        self._decoder: Any = library.Decoder(
            library.Config(
                hmm=str(model / "en-us"),
                dict=str(model / "cmudict-en-us.dict"),
                **_SETTINGS,
            )
        )
        for word, phones in _PRONOUNCED.items():
            self._decoder.add_word(word, phones, True)
        for word, ways in PRONOUNCED.items():
            self._pronounce(word, ways)
        for word, ways in LOOSE.items():
            self._decoder.add_word(
                spelling(word), self._decoder.lookup_word(word), True
            )
            self._pronounce(spelling(word), ways)
        self._decoder.add_allphone_file(_PHONES, str(model / "en-us-phone.lm.bin"))
        self._others = jsgf(OTHERS, self._without_urgent(), self.knows)
        self._searches: dict[str, str] = {}
        self._made = 0

    def _pronounce(self, word: str, ways: Iterable[str]) -> None:
        """Add pronunciations of a word that has one already."""
        for number, phones in enumerate(ways, 2):
            self._decoder.add_word(f"{word}({number})", phones, True)

    def _without_urgent(self) -> Phrases:
        """Give the phrases without any that would be obeyed at once."""
        kept = {
            control: tuple(
                phrase for phrase in phrases if not set(phrase.split()) & set(ALWAYS)
            )
            for control, phrases in self._phrases.decoys.items()
        }
        return self._phrases.model_copy(update={"decoys": kept})

    def knows(self, word: str) -> bool:
        """Tell whether the engine has a pronunciation for a word."""
        return self._decoder.lookup_word(word) is not None

    def unknown_words(self, vocabulary: Vocabulary) -> tuple[str, ...]:
        """Give the words of the vocabulary that have no pronunciation."""
        return unknown_words(vocabulary, self._phrases, self.knows)

    def decode(self, segment: Segment, vocabulary: Vocabulary) -> Decoded:
        """Find the words of one utterance, or none if the evidence is thin."""
        evidence = self.evidence(segment, vocabulary)
        if evidence is None:
            return NOTHING
        return judge(evidence, vocabulary, self._phrases)

    def evidence(self, segment: Segment, vocabulary: Vocabulary) -> Evidence | None:
        """Decode one utterance in every version; None if nothing could be said in it."""
        grammar = jsgf(vocabulary, self._phrases, self.knows)
        if not grammar or not len(segment.samples):
            return None
        versions = of_words if vocabulary.numbers is None else of_digits
        clean, *others = versions(segment, self._floor)
        first = self._pass(self._named(grammar), clean.sound)
        phones = self._pass(_PHONES, clean.sound)
        loose = loosely(grammar)
        votes = [first]
        for each in others:
            search = self._named(loose if each.loose else grammar)
            votes.append(self._pass(search, each.sound))
        fit = (first.score - phones.score) / max(1, first.frames)
        urgent = self._urgent(clean.sound, first, phones, vocabulary)
        words = tuple(each.words for each in votes)
        return Evidence(votes=words, fit=fit, urgent=urgent)

    def _urgent(
        self,
        sound: Samples,
        usual: "_Pass",
        phones: "_Pass",
        vocabulary: Vocabulary,
    ) -> UrgentEvidence | None:
        """Lay the sound on the urgent words alone; None if they cannot be in it.

        ``usual`` and ``phones`` are what came of it in the prompt's words and as phones.
        """
        phrases = [
            phrase
            for phrase in urgent_phrases(vocabulary)
            if all(map(self.knows, phrase.split()))
        ]
        if not phrases:
            return None
        found = self._pass(self._named(phrase_grammar(phrases)), sound)
        others = self._pass(self._named(self._others), sound).score
        if not set(usual.words.split()) & set(ALWAYS):
            others = max(others, usual.score)
        if not found.words:
            return None
        spoken = max(1, found.frames - _AROUND)
        return UrgentEvidence(
            words=found.words,
            over_others=found.score - others,
            over_phones=(found.score - phones.score) / found.spoken,
            covers=found.spoken / spoken,
        )

    def one_decode(self, samples: Samples, vocabulary: Vocabulary) -> str:
        """Give the words of a single decode of a sound as it is; for comparison only."""
        search = self._search(vocabulary)
        return "" if search is None else self._pass(search, samples).words

    def _search(self, vocabulary: Vocabulary) -> str | None:
        """Find or make the engine's search for a vocabulary; None if nothing can be said."""
        grammar = jsgf(vocabulary, self._phrases, self.knows)
        return self._named(grammar) if grammar else None

    def _named(self, grammar: str) -> str:
        """Find or make the search for a grammar."""
        name = self._searches.pop(grammar, None)
        if name is None:
            self._made += 1
            name = f"grammar{self._made}"
            self._decoder.add_jsgf_string(name, grammar)
        self._searches[grammar] = name  # the newest comes last
        if len(self._searches) > _KEPT:
            self._decoder.activate_search(name)  # an active one must not be removed
            self._decoder.remove_search(self._searches.pop(next(iter(self._searches))))
        return name

    def _pass(self, search: str, samples: Samples) -> "_Pass":
        self._decoder.activate_search(search)
        self._decoder.start_utt()
        self._decoder.process_raw(_dithered(samples), full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        frames = int(self._decoder.n_frames())
        if found is None or found.score <= 0:
            return _Pass(words="", score=-1e9, frames=frames, spoken=0)
        score = float(np.log(found.score) / np.log(_LOG_BASE))
        spoken = sum(
            part.end_frame - part.start_frame + 1
            for part in self._decoder.seg()
            if part.word[0] not in "<([+"  # silence and noise are written like <sil>
        )
        words = as_written(found.hypstr) if spoken >= _LEAST_SPOKEN else ""
        return _Pass(words=words, score=score, frames=frames, spoken=spoken)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pass:
    words: str
    score: float
    frames: int
    spoken: int


def _dithered(samples: Samples) -> bytes:
    """Add a little noise, the same every time, and an edge of it on both sides."""
    chance = np.random.default_rng(0)
    padded = np.pad(samples.astype(np.float64), _EDGE)
    noise = chance.normal(0, _DITHER, len(padded))
    return to_samples(padded + noise).astype("<i2").tobytes()

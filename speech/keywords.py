"""A few words listened for at every moment, apart from what is expected.

The dialogue's ear is closed while the companion talks, and an utterance that runs on is
only decoded at its end. "Stop" must not wait for either: this listener searches the
stream itself for stop and close words, in a process of its own, and is never closed.

The companion's own voice reaches the microphone as well. A word that it is saying itself
is not taken from the air until it has finished, so that its prompts are never obeyed.
The button beats all of this.
"""

import math
import tempfile
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from speech.child import Answer, Broken, Child, Died
from speech.ports import DeviceError, Heard, Lost
from speech.sound import RATE, Samples
from speech.vocabulary import Vocabulary
from speech.words import tokens

ENGINE = "keywords"
"""What :attr:`speech.ports.Heard.engine` says of these."""

_BLOCK = RATE // 5
_SECONDS = 20.0  # for one block; a thousand times what it takes
_OWN_LOG10 = -2.0  # threshold of a technician's own phrase, for each word
_SETTINGS = {"lm": None, "loglevel": "FATAL", "cmn": "live", "topn": 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyword:
    """A phrase that is listened for, and what it counts as.

    ``threshold`` is the decimal logarithm of the search's threshold: the higher, the
    fewer false alarms and the more misses.
    """

    phrase: str
    means: str
    threshold: float


KEYWORDS = (
    Keyword(phrase="emergency stop", means="stop", threshold=-10),
    Keyword(phrase="stop", means="stop", threshold=-2),
    Keyword(phrase="close the valve", means="close", threshold=-10),
    Keyword(phrase="close it now", means="close", threshold=-10),
    Keyword(phrase="close", means="close", threshold=-2),
)
"""Our own choice of phrases; thresholds measured by tests/benchmarks/hearing.py."""


def with_own_word(phrase: str) -> tuple[Keyword, ...]:
    """Give the shipped keywords and a technician's own phrase for stop.

    Raises
    ------
    ValueError
        If the phrase has no words.
    """
    said = tokens(phrase)
    if not said:
        raise ValueError("the stop word has no letters; choose a word")
    own = Keyword(phrase=" ".join(said), means="stop", threshold=_OWN_LOG10 * len(said))
    return (*KEYWORDS, own)


class Spotter:
    """The search itself, here and now; :class:`KeywordListener` runs it elsewhere.

    Raises
    ------
    DeviceError
        If the library is missing, or a word has no pronunciation.
    """

    def __init__(self, keywords: tuple[Keyword, ...]) -> None:
        try:
            library = import_module("pocketsphinx")
        except ImportError as problem:
            raise DeviceError(
                "pocketsphinx is not installed: pip install pocketsphinx"
            ) from problem
        model = Path(library.get_model_path()) / "en-us"
        self._decoder: Any = library.Decoder(
            library.Config(
                hmm=str(model / "en-us"),
                dict=str(model / "cmudict-en-us.dict"),
                **_SETTINGS,
            )
        )
        for keyword in keywords:
            for word in keyword.phrase.split():
                if self._decoder.lookup_word(word) is None:
                    raise DeviceError(
                        f"the recogniser cannot hear {word!r}; choose another stop word"
                    )
        self._means = {each.phrase: each.means for each in keywords}
        lines = [f"{each.phrase} /1e{each.threshold:g}/\n" for each in keywords]
        with tempfile.TemporaryDirectory() as folder:
            listed = Path(folder) / "keywords"
            listed.write_text("".join(lines), encoding="utf-8")
            self._decoder.add_kws("keywords", str(listed))
        self._decoder.activate_search("keywords")
        self._decoder.start_utt()

    def feed(self, samples: Samples) -> tuple[str, ...]:
        """Take in sound and give what the words found in it mean."""
        self._decoder.process_raw(samples.astype("<i2").tobytes())
        if self._decoder.hyp() is None:
            return ()
        found = [
            self._means.get(str(part.word).strip()) for part in self._decoder.seg()
        ]
        self._decoder.end_utt()
        self._decoder.start_utt()
        return tuple(dict.fromkeys(each for each in found if each is not None))


def _make_spotting(
    keywords: tuple[Keyword, ...],
) -> Callable[[Samples], tuple[str, ...]]:
    return Spotter(keywords).feed


class KeywordListener:
    """A listener for keywords only: feed it the same samples as the dialogue's.

    ``ready`` is called from a thread whenever :meth:`poll` has something.
    """

    def __init__(
        self,
        keywords: tuple[Keyword, ...] = KEYWORDS,
        ready: Callable[[], None] = lambda: None,
    ) -> None:
        self._ready = ready
        self._child = Child(_make_spotting, (keywords,), "stop-word listener")
        self._blocks: deque[Samples] = deque()
        self._waiting = np.zeros(0, dtype=np.int16)
        self._results: deque[Heard | Lost] = deque()
        self._own: frozenset[str] = frozenset()
        self._fed = 0
        self._closed = False
        self._change = threading.Condition()
        self._thread = threading.Thread(
            target=self._run, name="stop words", daemon=True
        )
        self._thread.start()

    @property
    def pending(self) -> bool:
        """True while sound waits or results were not taken."""
        with self._change:
            return bool(self._blocks or self._results)

    def expect(self, vocabulary: Vocabulary) -> None:
        """Do nothing: these words are listened for whatever is expected."""

    def saying(self, text: str) -> None:
        """Know what the companion begins to say; its words are not taken meanwhile."""
        with self._change:
            self._own |= frozenset(tokens(text))

    def mute(self, muted: bool) -> None:
        """Stay open; when the companion has finished, its words count again."""
        if not muted:
            with self._change:
                self._own = frozenset()

    def feed(self, samples: Samples) -> None:
        """Take in 16 kHz mono samples; quick, safe to call from another thread."""
        with self._change:
            self._waiting = np.concatenate((self._waiting, samples))
            while len(self._waiting) >= _BLOCK:
                self._blocks.append(self._waiting[:_BLOCK])
                self._waiting = self._waiting[_BLOCK:]
            self._change.notify_all()

    def poll(self) -> list[Heard | Lost]:
        """Give what was found, oldest first, without waiting."""
        with self._change:
            found = list(self._results)
            self._results.clear()
        return found

    def close(self) -> None:
        """End the process and the thread; may be called twice."""
        with self._change:
            if self._closed:
                return
            self._closed = True
            self._change.notify_all()
        self._thread.join()

    def _run(self) -> None:
        self._child.start()
        while (block := self._next()) is not None:
            match self._child.ask(block, _SECONDS):
                case Answer(value=tuple() as found):
                    self._take(found)
                case Answer() | Broken() as odd:
                    self._give(Lost(device="listener", reason=f"stop words: {odd}"))
                    break
                case Died(reason=reason):
                    self._give(Lost(device="listener", reason=reason))
                    break
        self._child.close()

    def _next(self) -> Samples | None:
        with self._change:
            self._change.wait_for(lambda: bool(self._blocks) or self._closed)
            if self._closed:
                return None
            block = self._blocks.popleft()
            self._fed += len(block)
            return block

    def _take(self, found: tuple[str, ...]) -> None:
        end = self._fed / RATE
        for word in found:
            with self._change:
                said_by_itself = word in self._own
            if not said_by_itself:
                self._give(
                    Heard(
                        words=word,
                        confidence=0.5,
                        sure=False,
                        engine=ENGINE,
                        begin=max(0.0, math.floor(end - _BLOCK / RATE)),
                        end=end,
                    )
                )

    def _give(self, result: Heard | Lost) -> None:
        with self._change:
            self._results.append(result)
        self._ready()

"""Stop and close, listened for at every moment, apart from what is expected.

The dialogue's ear is closed while the companion talks. This one never is: it has its own
cutter, which only takes what is much louder than the place, its own small grammar and its
own process, so that nothing else has to be decoded first. It needs a voice well above the
companion's own in the microphone, as in a headset.

The companion's own voice reaches the microphone as well. A word that it is saying itself
is not taken from the air until it has finished, so that its prompts are never obeyed.
The button beats all of this.
"""

import threading
from dataclasses import replace

from speech.engine_process import EngineProcess
from speech.phrases import Phrases, shipped_phrases
from speech.ports import Heard, Lost
from speech.segmenter import SegmenterSettings
from speech.sound import Samples
from speech.stream_listener import StreamListener
from speech.understanding import Choice, Control, understand
from speech.vocabulary import ALWAYS, Vocabulary
from speech.words import tokens

_OWN = "own-stop"
_STEMS = {"stop": "stop", "clos": "close"}  # "stopped" and "closed" sound like these
LISTENED = (*ALWAYS, "closed", "opened")
"""The last two are no commands: they keep "closed" from being taken for "close"."""
LOUD = SegmenterSettings(loud=2.0, audible=1.0, quiet=0.3, most=4.0, within_db=9.0)
"""Only what is louder than the place, and short, is looked at. Measured with "stop" 5 dB
over fan noise: all of 16 are cut out whole; with three times these bounds, three. And
only its loudest part: the companion's own voice, if it is well under the technician's,
is cut off before and after the word."""


class KeywordListener:
    """A listener for stop and close only: feed it the same samples as the dialogue's.

    Owns and closes the engine. ``own_word`` is the technician's own word for stop.

    Raises
    ------
    ValueError
        If the own word has no letters.
    """

    def __init__(self, engine: EngineProcess, own_word: str = "") -> None:
        self._stream = StreamListener(engine, LOUD)
        choices = {_OWN: (own_word,)} if own_word else {}
        self._vocabulary = Vocabulary(controls=LISTENED, choices=choices, strict=True)
        self._stream.expect(self._vocabulary)
        self._phrases: Phrases = shipped_phrases()
        self._own: frozenset[str] = frozenset()
        self._last: frozenset[str] = frozenset()
        self._until = 0.0
        self._lock = threading.Lock()

    @property
    def pending(self) -> bool:
        """True while something is being decoded or waits to be taken."""
        return self._stream.pending

    def expect(self, vocabulary: Vocabulary) -> None:
        """Listen for the same words whatever is expected, but as warily."""
        self._vocabulary = replace(self._vocabulary, wary=vocabulary.wary)
        self._stream.expect(self._vocabulary)

    def saying(self, text: str) -> None:
        """Know what the companion begins to say; its words are not taken meanwhile."""
        with self._lock:
            self._own |= own_words(text)
        self._doubt(talking=True)

    def mute(self, muted: bool) -> None:
        """Stay open; when the companion has finished, its words count again.

        What began before that and is decoded after it may still be its own voice.
        """
        if muted:
            return
        seconds = self._stream.seconds
        with self._lock:
            if self._own:
                self._last, self._until = self._own, seconds
                self._own = frozenset()
        self._doubt(talking=False)

    def learn(self, samples: Samples) -> None:
        """Take the noise of the place from the quieter part of this sound."""
        self._stream.learn(samples)

    def feed(self, samples: Samples) -> None:
        """Take in 16 kHz mono samples; quick, safe to call from another thread."""
        self._stream.feed(samples)

    def _doubt(self, *, talking: bool) -> None:
        """Ask for more while the companion's own voice may be what is heard.

        What is being said at this moment is taken as it began.
        """
        if self._vocabulary.talking is not talking:
            self._vocabulary = replace(self._vocabulary, talking=talking)
            self._stream.expect(self._vocabulary)

    def poll(self) -> list[Heard | Lost]:
        """Give what was found, oldest first, without waiting."""
        return self._taken(self._stream.poll())

    def settle(self) -> list[Heard | Lost]:
        """End the utterance going on, wait for all to be decoded, give the results."""
        return self._taken(self._stream.settle())

    def close(self) -> None:
        """End the engine's process; may be called twice."""
        self._stream.close()

    def _taken(self, results: list[Heard | Lost]) -> list[Heard | Lost]:
        found = (self._one(each) for each in results)
        return [each for each in found if each is not None]

    def _one(self, result: Heard | Lost) -> Heard | Lost | None:
        if isinstance(result, Lost):
            return result
        match understand(result.words, self._vocabulary, self._phrases):
            case Control(id=word) if word in ALWAYS:
                pass
            case Choice(option=option) if option == _OWN:
                word = "stop"
            case _:
                return None
        with self._lock:
            own = self._own | (
                self._last if result.begin < self._until else frozenset()
            )
            if own & {word, *tokens(result.words)}:
                return None
        return replace(result, words=word, guesses=())


def own_words(text: str) -> frozenset[str]:
    """Give the words that are not taken from the air while this is said."""
    said = frozenset(tokens(text))
    alike = {word for stem, word in _STEMS.items() for each in said if stem in each}
    return said | alike

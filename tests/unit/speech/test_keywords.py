import numpy as np
import pytest

from speech.keywords import KeywordListener
from speech.ports import Heard, Lost
from speech.sound import RATE
from speech.vocabulary import Vocabulary


class Scripted:
    """An engine's process that has heard what it is told."""

    def __init__(self, *results):
        self.results = list(results)
        self.closed = False
        self.pending = False

    def poll(self):
        found, self.results = self.results, []
        return found

    def close(self):
        self.closed = True


def heard(words):
    return Heard(
        words=words, confidence=0.7, sure=False, engine="pocketsphinx", begin=1, end=2
    )


def listener(*words, own=""):
    return KeywordListener(Scripted(*map(heard, words)), own)


def told(made):
    return [each.words for each in made.poll()]


@pytest.mark.parametrize(
    ("words", "taken"),
    [
        ("stop", ["stop"]),
        ("emergency stop", ["stop"]),
        ("close the valve", ["close"]),
        ("closed", []),
        ("", []),
        ("one eighteen", []),
    ],
)
def test_only_stop_and_close_come_through(words, taken):
    assert told(listener(words)) == taken


def test_the_technicians_own_word_is_stop():
    assert told(listener("red light", own="red light")) == ["stop"]
    assert told(listener("red light")) == []


def test_an_own_word_needs_letters():
    with pytest.raises(ValueError, match="words"):
        listener(own="!!")


def test_being_muted_does_not_make_it_deaf():
    made = listener("stop")
    made.mute(True)
    made.expect(Vocabulary())
    assert told(made) == ["stop"]


class Submitted(Scripted):
    """Keeps what it is asked to decode."""

    def __init__(self):
        super().__init__()
        self.asked = []

    def submit(self, _segment, vocabulary):
        self.asked.append(vocabulary)


def test_an_open_valve_makes_it_warier_and_nothing_else():
    engine = Submitted()
    made = KeywordListener(engine)
    rng = np.random.default_rng(1)
    made.learn((rng.normal(0, 30, RATE)).astype(np.int16))
    burst = np.concatenate((rng.normal(0, 4000, RATE // 2), rng.normal(0, 30, RATE)))
    for wary in (True, False):
        made.expect(Vocabulary(controls=("yes", "no"), wary=wary))
        made.feed(burst.astype(np.int16))
    first, second = engine.asked
    assert (first.wary, second.wary) == (True, False)
    assert first.controls == second.controls
    assert "stop" in first.controls
    assert "yes" not in first.controls


def test_what_the_companion_says_itself_is_not_obeyed():
    made = listener("close the valve", "stop")
    made.saying("Close. Close the valve now.")
    made.mute(True)
    assert told(made) == ["stop"]


@pytest.mark.parametrize(("said", "word"), [("Stopped.", "stop"), ("Closed.", "close")])
def test_nor_what_only_sounds_like_it(said, word):
    made = listener(word)
    made.saying(said)
    assert told(made) == []


def test_its_own_voice_decoded_late_is_not_obeyed():
    made = listener("close")
    made.saying("Close the valve.")
    made.feed(np.zeros(3 * RATE, np.int16))
    made.mute(False)
    assert told(made) == []


def test_its_words_count_again_when_it_has_finished():
    made = listener("close")
    made.saying("Close. Close the valve now.")
    made.mute(False)
    assert told(made) == ["close"]


def test_a_lost_engine_is_handed_on():
    lost = Lost(device="listener", reason="gone")
    made = KeywordListener(Scripted(lost))
    assert made.poll() == [lost]
    made.close()


def test_it_doubts_what_it_hears_while_the_companion_talks():
    engine = Submitted()
    made = KeywordListener(engine)
    rng = np.random.default_rng(1)
    made.learn((rng.normal(0, 30, RATE)).astype(np.int16))
    burst = np.concatenate((rng.normal(0, 4000, RATE // 2), rng.normal(0, 30, RATE)))
    made.saying("Let it settle.")
    made.feed(burst.astype(np.int16))
    made.mute(False)
    made.feed(burst.astype(np.int16))
    assert [each.talking for each in engine.asked] == [True, False]

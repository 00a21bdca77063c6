from decimal import Decimal

import numpy as np
import pytest

from speech import Number, NumberRange, understand
from speech.engines import open_engine
from speech.ports import DeviceError, Heard, Listener, Lost, SpeechFileError
from speech.sound import RATE, Sound, write_wav
from speech.stream_listener import StreamListener, hear_file
from speech.vocabulary import Vocabulary
from speech.voice import Voice

ASKED = Vocabulary(controls=("yes", "no", "stop"))
NEXT = Vocabulary(controls=("ready",))


class FakeEngine:
    """Hears the controls of the vocabulary it was given, one after the other."""

    def __init__(self):
        self.jobs = []
        self.results = []
        self.closed = False
        self.dies = False

    @property
    def pending(self):
        return bool(self.results)

    def submit(self, segment, vocabulary):
        self.jobs.append((segment, vocabulary))
        if self.dies:
            self.results.append(Lost(device="listener", reason="it died"))
            return
        self.results.append(
            Heard(
                words=" ".join(vocabulary.controls),
                confidence=1.0,
                sure=False,
                engine="fake",
                begin=segment.begin,
                end=segment.end,
            )
        )

    def poll(self):
        ready, self.results = self.results, []
        return ready

    def settle(self, seconds):
        assert seconds > 0
        return self.poll()

    def close(self):
        self.closed = True


def sound(seconds, *bursts, seed=1):
    """Soft noise with loud buzzes; each is (begin, end) in seconds."""
    samples = np.random.default_rng(seed).normal(0, 30, round(seconds * RATE))
    at = np.arange(len(samples)) / RATE
    buzz = sum(np.sin(2 * np.pi * 150 * order * at) for order in range(1, 20))
    for begin, end in bursts:
        samples += 300 * buzz * ((at >= begin) & (at < end))
    return samples.astype(np.int16)


@pytest.fixture
def listener():
    listener = StreamListener(FakeEngine())
    yield listener
    listener.close()
    assert listener._engine.closed


def feed(listener, samples, step=1600):
    for start in range(0, len(samples), step):
        listener.feed(samples[start : start + step])


def test_an_utterance_is_heard_at_its_place_in_the_stream(listener):
    port: Listener = listener
    port.expect(ASKED)
    feed(listener, sound(4, (2, 2.6)))
    assert port.pending
    (heard,) = port.poll()
    assert heard.words == "yes no stop"
    assert heard.begin == pytest.approx(1.8, abs=0.15)
    assert heard.end == pytest.approx(2.75, abs=0.15)
    assert not port.pending
    assert listener.seconds == 4.0


def test_a_new_question_is_for_the_next_utterance(listener):
    listener.expect(ASKED)
    feed(listener, sound(2.3, (2, 2.3)))
    assert listener.pending
    listener.expect(NEXT)
    feed(listener, sound(3, (0, 0.3), (1.5, 2)))
    assert [heard.words for heard in listener.poll()] == ["yes no stop", "ready"]


def test_while_muted_nothing_is_heard_and_time_goes_on(listener):
    listener.expect(ASKED)
    feed(listener, sound(2))
    listener.mute(True)
    feed(listener, sound(3, (1, 2)))
    listener.mute(False)
    assert listener.settle() == []
    feed(listener, sound(3, (1, 1.5)))
    (heard,) = listener.poll()
    assert heard.begin == pytest.approx(5.8, abs=0.15)


@pytest.mark.parametrize(("asked", "heard"), [(ASKED, ["stop"]), (NEXT, [])])
def test_what_muting_cuts_short_can_only_be_an_urgent_word(listener, asked, heard):
    listener.expect(asked)
    feed(listener, sound(2.5, (2, 2.5)))
    listener.mute(True)
    assert [each.words for each in listener.settle()] == heard


def test_settle_ends_what_goes_on(listener):
    listener.expect(ASKED)
    feed(listener, sound(2.5, (2, 2.5)))
    (heard,) = listener.settle()
    assert heard.end == pytest.approx(2.5, abs=0.05)


def test_a_file_is_heard_even_if_it_begins_with_speech(listener, tmp_path):
    path = tmp_path / "said.wav"
    write_wav(path, Sound(samples=sound(2, (0, 0.6))))
    (heard,) = hear_file(path, ASKED, listener)
    assert heard.words == "yes no stop"
    assert heard.begin < 0.05


def test_a_file_at_another_rate_is_resampled(listener, tmp_path):
    path = tmp_path / "said.wav"
    write_wav(path, Sound(samples=sound(4, (2, 2.6))).at(48_000))
    (heard,) = hear_file(path, ASKED, listener)
    assert heard.begin == pytest.approx(1.8, abs=0.15)


def test_a_missing_file_is_named(listener, tmp_path):
    with pytest.raises(SpeechFileError, match=r"no\.wav: there is no such file"):
        hear_file(tmp_path / "no.wav", ASKED, listener)


def test_a_recogniser_that_dies_over_a_file_is_an_error(listener, tmp_path):
    path = tmp_path / "said.wav"
    write_wav(path, Sound(samples=sound(2, (1, 1.6))))
    listener._engine.dies = True
    with pytest.raises(DeviceError, match=r"said\.wav: not heard to the end: it died"):
        hear_file(path, ASKED, listener)


def test_from_voice_to_words_with_the_engine_that_needs_no_model(tmp_path):
    path = tmp_path / "said.wav"
    voice = Voice()
    clean = voice.render("one eighteen").at(RATE).samples / 4
    voice.close()
    noisy = np.pad(clean, RATE) + np.random.default_rng(3).normal(
        0, 60, len(clean) + 2 * RATE
    )
    write_wav(path, Sound(samples=noisy.astype(np.int16)))
    asked = Vocabulary(numbers=NumberRange(low=20, high=600), controls=("again",))
    listener = StreamListener(open_engine("pocketsphinx"))
    try:
        (heard,) = hear_file(path, asked, listener)
    finally:
        listener.close()
    assert understand(heard.words, asked) == Number(value=Decimal(118), unit=None)
    assert not heard.sure

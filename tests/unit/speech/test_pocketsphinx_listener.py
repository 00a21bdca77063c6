import numpy as np
import pytest

from speech import Control, Name, Number, understand
from speech.numbers import TEENS, TENS
from speech.pocketsphinx_listener import PocketsphinxEngine
from speech.segmenter import Segment
from speech.sound import RATE
from speech.vocabulary import NumberRange, Vocabulary
from speech.voice import Voice
from speech.words import DIGITS

PRESSURE = Vocabulary(
    numbers=NumberRange(low=20, high=600, units=("psi",)), controls=("again", "stop")
)
NAMES = Vocabulary(names=("R-22", "R-407C", "R-410A"), controls=("again",))
ANSWER = Vocabulary(controls=("yes", "no", "closed", "stop", "close"))
MANY = [
    Vocabulary(choices={"only": ("twelve",), "x": (word,)})
    for word in (*DIGITS, *TEENS, *TENS)
    if word != "twelve"
]


@pytest.fixture(scope="module")
def engine():
    return PocketsphinxEngine()


@pytest.fixture(scope="module")
def voice():
    voice = Voice()
    yield voice
    voice.close()


def noise(seconds, level, seed):
    return np.random.default_rng(seed).normal(0, level, round(seconds * RATE))


def said(voice, text, level=60.0):
    sound = voice.render(text).at(RATE).samples / 4
    padded = np.pad(sound, RATE // 5)
    samples = padded + noise(len(padded) / RATE, level, 1)
    return Segment(
        samples=samples.astype(np.int16),
        noise_before=noise(1, level, 2).astype(np.int16),
        begin=1.0,
        end=2.0,
    )


@pytest.mark.parametrize(
    ("text", "vocabulary", "meaning"),
    [
        ("one eighteen", PRESSURE, Number(value=118, unit=None)),
        ("three hundred ten p s i", PRESSURE, Number(value=310, unit="psi")),
        ("four ten alpha", NAMES, Name(designation="R-410A")),
        ("r four zero seven charlie", NAMES, Name(designation="R-407C")),
        ("say again", PRESSURE, Control(id="again")),
        ("emergency stop", PRESSURE, Control(id="stop")),
        ("stop", PRESSURE, Control(id="stop")),
        ("stop stop", PRESSURE, Control(id="stop")),
        ("close", ANSWER, Control(id="close")),
        ("valve closed", ANSWER, Control(id="closed")),
        ("close the valve", ANSWER, Control(id="close")),
        ("yes", ANSWER, Control(id="yes")),
    ],
)
def test_what_is_said_is_heard(engine, voice, text, vocabulary, meaning):
    decoded = engine.decode(said(voice, text), vocabulary)
    assert understand(decoded.words, vocabulary) == meaning
    assert decoded.confidence >= 0.5


def test_not_closed_is_not_closed(engine, voice):
    for text in ("not closed", "it is not closed", "valve opened", "is it closed"):
        assert engine.decode(said(voice, text), ANSWER).words == ""


def test_small_talk_is_turned_away(engine, voice):
    for text in ("hand me that wrench would you", "i think it might rain today"):
        for vocabulary in (PRESSURE, NAMES, ANSWER):
            assert engine.decode(said(voice, text), vocabulary).words == ""


@pytest.mark.parametrize("level", [0, 100, 2000])
def test_noise_and_digital_silence_are_nothing(engine, level):
    sound = noise(1.5, level, 5).astype(np.int16)
    segment = Segment(samples=sound, noise_before=sound, begin=0, end=1.5)
    for vocabulary in (PRESSURE, ANSWER, Vocabulary()):
        assert engine.decode(segment, vocabulary).words == ""


def test_no_sound_at_all_is_nothing(engine):
    empty = np.zeros(0, np.int16)
    segment = Segment(samples=empty, noise_before=empty, begin=0, end=0)
    assert engine.decode(segment, ANSWER).words == ""


def test_the_same_sound_gives_the_same_answer_whatever_came_before(engine, voice):
    first = engine.decode(said(voice, "one eighteen"), PRESSURE)
    engine.decode(said(voice, "yes"), ANSWER)
    assert engine.decode(said(voice, "one eighteen"), PRESSURE) == first


def test_many_vocabularies_are_forgotten_and_made_again(engine, voice):
    short = said(voice, "twelve")
    before = engine.decode(short, MANY[0])
    for vocabulary in (*MANY, NAMES, ANSWER, PRESSURE):
        engine._search(vocabulary)
    assert len(engine._searches) == 24
    assert engine.decode(short, MANY[0]) == before


def test_words_without_a_pronunciation_are_named(engine):
    choices = {"odd": ("zzyzx valve",), "plain": ("piston",)}
    asked = Vocabulary(
        choices=choices, numbers=NumberRange(low=0, high=9, units=("kpa",))
    )
    assert engine.unknown_words(asked) == ("zzyzx", "kpa")
    assert engine.unknown_words(PRESSURE) == ("psig",)

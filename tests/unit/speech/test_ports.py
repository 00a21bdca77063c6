import pytest

from speech.ports import DeviceError, Heard, SpeechError, SpeechFileError


@pytest.mark.parametrize(
    "change", [{"confidence": 1.5}, {"begin": 3.0}, {"begin": -1.0}]
)
def test_what_cannot_have_been_heard(change):
    fields = {
        "words": "stop",
        "confidence": 0.5,
        "sure": False,
        "engine": "typed",
        "begin": 1.0,
        "end": 2.0,
    }
    assert Heard(**fields).end == 2.0
    with pytest.raises(ValueError, match=r"must be|heard from"):
        Heard(**fields | change)


def test_errors_have_one_base_and_their_builtin():
    assert issubclass(DeviceError, SpeechError)
    assert issubclass(DeviceError, OSError)
    assert issubclass(SpeechFileError, ValueError)

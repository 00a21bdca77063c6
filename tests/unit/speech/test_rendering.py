"""Files of the synthesiser: only what is whole is taken."""

from pathlib import Path

import numpy as np
import pytest

from speech.ports import SpeechFileError
from speech.rendering import whole_wav
from speech.sound import Sound, write_wav


def test_a_whole_file_is_taken(tmp_path: Path) -> None:
    sound = Sound(samples=np.arange(5000, dtype=np.int16), rate=22_050)
    write_wav(tmp_path / "whole.wav", sound)
    assert len(whole_wav(tmp_path / "whole.wav").samples) == 5000


@pytest.mark.parametrize("kept", [0, 20, 44, 46, 5000, 10_042])
def test_a_file_that_is_still_being_written_is_not(tmp_path: Path, kept: int) -> None:
    path = tmp_path / "part.wav"
    write_wav(path, Sound(samples=np.arange(5000, dtype=np.int16), rate=22_050))
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(SpeechFileError):
        whole_wav(path)


def test_a_file_that_is_not_there_is_not(tmp_path: Path) -> None:
    with pytest.raises(SpeechFileError):
        whole_wav(tmp_path / "none.wav")

import wave

import numpy as np
import pytest

from speech.ports import SpeechFileError
from speech.sound import RATE, Sound, read_wav, resample, write_wav


def tone(rate, hz=440.0, seconds=1.0):
    return (
        8000 * np.sin(2 * np.pi * hz * np.arange(int(rate * seconds)) / rate)
    ).astype(np.int16)


@pytest.mark.parametrize("rate", [8000, 22050, 44100, 48000])
def test_resampling_keeps_a_tone_and_its_length(rate):
    there = resample(tone(rate), rate, RATE)
    assert len(there) == RATE
    expected = tone(RATE)
    inner = slice(RATE // 10, -RATE // 10)
    assert np.abs(there[inner].astype(int) - expected[inner]).max() < 80


def test_resampling_does_not_fold_high_tones_down():
    there = resample(tone(48000, hz=15000.0), 48000, RATE)
    assert np.abs(there[RATE // 10 : -RATE // 10]).max() < 80


def test_a_file_comes_back(tmp_path):
    path = tmp_path / "tone.wav"
    write_wav(path, Sound(samples=tone(RATE)))
    assert np.array_equal(read_wav(path).samples, tone(RATE))
    assert read_wav(path).seconds == 1.0


def test_stereo_at_another_rate_is_mixed_and_resampled(tmp_path):
    path = tmp_path / "stereo.wav"
    left = tone(48000)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(48000)
        file.writeframes(np.column_stack((left, np.zeros_like(left))).tobytes())
    sound = read_wav(path)
    assert sound.rate == RATE
    assert 3900 < np.abs(sound.samples).max() < 4100


def broken(path, kind):
    if kind == "missing":
        return
    if kind == "text":
        path.write_text("this is no sound")
    if kind == "nothing":
        path.write_bytes(b"")
    if kind == "folder":
        path.mkdir()
    widths = {
        "empty": (2, 16000, 0),
        "eight-bit": (1, 16000, 99),
        "slow": (2, 4000, 99),
    }
    if kind in widths:
        width, rate, count = widths[kind]
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(width)
            file.setframerate(rate)
            file.writeframes(bytes(width * count))


@pytest.mark.parametrize(
    ("kind", "fault"),
    [
        ("missing", "there is no such file"),
        ("text", "not a plain WAV file"),
        ("nothing", "not a plain WAV file"),
        ("folder", "directory"),
        ("empty", "holds no sound"),
        ("eight-bit", "8-bit samples; record 16-bit"),
        ("slow", "4000 samples a second; record 16000"),
    ],
)
def test_what_is_wrong_with_a_file_is_said(tmp_path, kind, fault):
    path = tmp_path / "it.wav"
    broken(path, kind)
    with pytest.raises(SpeechFileError, match=fault) as problem:
        read_wav(path)
    assert "it.wav" in str(problem.value)


def test_a_cut_file_gives_what_there_is(tmp_path):
    path = tmp_path / "cut.wav"
    write_wav(path, Sound(samples=tone(RATE)))
    path.write_bytes(path.read_bytes()[:10_001])
    assert 4900 < len(read_wav(path).samples) < 5000

import numpy as np
import pytest

from speech.sound import RATE
from speech.tones import tone_sound

PATTERNS = ("information", "caution", "danger")


@pytest.mark.parametrize("pattern", PATTERNS)
def test_nearly_all_of_a_tone_is_low_and_it_does_not_clip(pattern):
    sound = tone_sound(pattern)
    power = np.abs(np.fft.rfft(sound.samples)) ** 2
    hz = np.fft.rfftfreq(len(sound.samples), 1 / RATE)
    assert power[hz < 3000].sum() > 0.99 * power.sum()
    assert 15_000 < np.abs(sound.samples).max() < 32_000


def notes(pattern):
    quiet = np.abs(tone_sound(pattern).samples.reshape(-1, 160)).max(axis=1) < 500
    return int(np.sum(quiet[1:] & ~quiet[:-1]))


def test_the_rhythms_differ():
    assert [notes(pattern) for pattern in PATTERNS] == [1, 2, 3]

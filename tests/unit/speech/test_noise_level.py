import numpy as np
import pytest

from speech.noise_level import level_db, over_noise_db
from speech.segmenter import Segment
from speech.sound import RATE

AT = np.arange(RATE) / RATE


def tone(level):
    return level * np.sin(2 * np.pi * 1000 * AT)


def segment(voice, noise):
    chance = np.random.default_rng(1)
    both = tone(voice) + chance.normal(0, noise, RATE)
    before = chance.normal(0, noise, RATE)
    return Segment(
        samples=both.astype(np.int16),
        noise_before=before.astype(np.int16),
        begin=1,
        end=2,
    )


def test_a_kilohertz_counts_as_it_is():
    """The A-weighting is 0 dB at 1 kHz (IEC 61672-1)."""
    expected = 10 * np.log10(1000**2 / 2)
    assert level_db(tone(1000).astype(np.int16)) == pytest.approx(expected, abs=0.1)


def test_a_hum_counts_for_little():
    """The A-weighting at 63 Hz is -26.2 dB (IEC 61672-1, table 3)."""
    hum = (8000 * np.sin(2 * np.pi * 63 * AT)).astype(np.int16)
    expected = 10 * np.log10(8000**2 / 2) - 26.2
    assert level_db(hum) == pytest.approx(expected, abs=0.5)


def test_ten_times_the_voice_is_twenty_more():
    quiet, loud = segment(500, 100), segment(5000, 100)
    assert over_noise_db(loud) - over_noise_db(quiet) == pytest.approx(20, abs=0.5)


def test_nothing_is_said_without_noise_to_compare_with():
    heard = segment(500, 100)
    short = Segment(
        samples=heard.samples, noise_before=np.zeros(0, np.int16), begin=0, end=1
    )
    assert over_noise_db(short) is None


def test_silence_is_no_fault():
    nothing = np.zeros(RATE, np.int16)
    assert over_noise_db(
        Segment(samples=nothing, noise_before=nothing, begin=0, end=1)
    ) == pytest.approx(0)

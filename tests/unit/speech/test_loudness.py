import numpy as np
import pytest

from speech.loudness import PEAK, carrying
from speech.sound import RATE, Sound


def tones(*levels: float) -> Sound:
    """Give half a second of a tone at each level of full scale."""
    at = np.arange(RATE // 2) / RATE
    wave = np.concatenate([level * np.sin(2 * np.pi * 440 * at) for level in levels])
    return Sound(samples=np.asarray(np.round(32_767 * wave), dtype=np.int16))


def loudest(sound: Sound, part: int) -> float:
    half = RATE // 2
    middle = sound.samples[part * half + half // 4 : (part + 1) * half - half // 4]
    return float(np.max(np.abs(middle.astype(float)))) / 32_767


@pytest.mark.parametrize("level", [0.05, 0.5, 1.0])
def test_the_loudest_comes_to_one_level(level: float) -> None:
    assert loudest(carrying(tones(level)), 0) == pytest.approx(PEAK, abs=0.01)


def test_soft_parts_are_raised_against_loud_ones() -> None:
    evened = carrying(tones(1.0, 0.1))
    assert loudest(evened, 1) / loudest(evened, 0) == pytest.approx(0.1**0.6, rel=0.05)


def test_what_is_nearly_silent_is_raised_no_further() -> None:
    evened = carrying(tones(1.0, 0.001))
    assert loudest(evened, 1) / loudest(evened, 0) < 0.001 * 0.02**-0.4 * 1.1


def test_length_and_rate_stay_and_silence_stays_silent() -> None:
    sound = tones(0.3)
    evened = carrying(sound)
    assert (len(evened.samples), evened.rate) == (len(sound.samples), sound.rate)
    quiet = Sound(samples=np.zeros(100, dtype=np.int16))
    assert not carrying(quiet).samples.any()

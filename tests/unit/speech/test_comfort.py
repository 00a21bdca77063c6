import numpy as np
import pytest

from speech.comfort import on_a_bed
from speech.sound import RATE

TONE = (3000 * np.sin(np.arange(RATE) * 0.3)).astype(np.int16)


def test_the_bed_lies_under_the_phrase_and_around_it():
    bedded = on_a_bed(TONE, below_db=30)
    edge = RATE // 10
    assert len(bedded) == len(TONE) + 2 * edge
    around = np.concatenate((bedded[:edge], bedded[-edge:])).astype(float)
    loudness = 20 * np.log10(np.std(TONE.astype(float)) / np.std(around))
    assert loudness == pytest.approx(30, abs=3)


def test_the_same_phrase_gives_the_same_sound_and_another_place_another():
    assert np.array_equal(on_a_bed(TONE), on_a_bed(TONE))
    assert not np.array_equal(on_a_bed(TONE), on_a_bed(TONE, place=5000))


@pytest.mark.parametrize("count", [0, 1, 100, 320, 400_000])
def test_any_length_will_do(count):
    bedded = on_a_bed(np.zeros(count, np.int16))
    assert len(bedded) == (count + RATE // 5 if count else 0)
    assert not bedded.any()

import numpy as np
import pytest

from speech.noise_reduction import reduce_noise


def noisy_tone(seed=1):
    rng = np.random.default_rng(seed)
    noise = rng.normal(0, 800, 48_000)
    tone = np.zeros(48_000)
    tone[24_000:40_000] = 4000 * np.sin(2 * np.pi * 700 * np.arange(16_000) / 16_000)
    return (tone + noise).astype(np.int16), tone


def power(samples):
    return float(np.mean(samples.astype(np.float64) ** 2))


def test_noise_falls_to_the_floor_and_the_voice_stays():
    heard, tone = noisy_tone()
    clean = reduce_noise(heard[16_000:], heard[:16_000], floor=0.1)
    assert len(clean) == 32_000
    before, after = power(heard[16_000:22_000]), power(clean[:6_000])
    assert 0.005 < after / before < 0.05  # the floor is 0.1 in amplitude
    voice = clean[10_000:22_000].astype(float)
    wanted = tone[26_000:38_000]
    assert np.dot(voice, wanted) / np.dot(wanted, wanted) > 0.9


def test_more_floor_leaves_more():
    heard, _ = noisy_tone()
    left = [
        power(reduce_noise(heard[16_000:], heard[:16_000], floor)[:6_000])
        for floor in (0.1, 0.2, 1.0)
    ]
    assert left == sorted(left)
    assert left[2] == pytest.approx(power(heard[16_000:22_000]), rel=0.01)


def test_too_little_noise_or_nothing_at_all_changes_nothing():
    heard, _ = noisy_tone()
    assert reduce_noise(heard, heard[:500], 0.1) is heard
    assert len(reduce_noise(heard[:0], heard, 0.1)) == 0


def test_digital_silence_is_harmless():
    silence = np.zeros(16_000, np.int16)
    assert not reduce_noise(silence, silence, 0.1).any()


@pytest.mark.parametrize("floor", [-0.1, 1.1])
def test_a_senseless_floor_is_refused(floor):
    with pytest.raises(ValueError, match="gain floor"):
        reduce_noise(np.zeros(9, np.int16), np.zeros(9, np.int16), floor)

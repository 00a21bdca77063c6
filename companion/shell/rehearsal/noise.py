"""Condenser-fan noise, made from a seed, and its level beside speech.

Pink noise for the rush of air, mains hum with its harmonics, and the fan's blade tones
with a slow flutter: what stands beside an outdoor unit, in shape. The level is set by
A-weighted power, because that is what "so many decibels over the noise" means to an
ear.

References
----------
IEC 61672-1:2013, annex E: the A-weighting curve in closed form.
"""

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
Samples = NDArray[np.float32]

_MAINS_HZ = 60.0
_BLADES_HZ = 85.0  # four blades at about 1275 turns a minute: our own choice
_FLUTTER_HZ = 0.7


def fan_noise(seconds: float, seed: int) -> Samples:
    """Make noise of unit A-weighted power; its end joins its beginning."""
    count = round(seconds * RATE)
    random = np.random.default_rng(seed)
    noise = _pink(count, random)
    at = np.arange(count) / RATE
    for harmonic, level in ((1, 0.25), (2, 0.5), (3, 0.15), (4, 0.2)):
        noise += level * _tone(_MAINS_HZ * harmonic, at, seconds, random)
    flutter = 1 + 0.3 * np.sin(2 * np.pi * _whole(_FLUTTER_HZ, seconds) * at)
    for harmonic, level in ((1, 0.8), (2, 0.5), (3, 0.3), (4, 0.15)):
        noise += level * flutter * _tone(_BLADES_HZ * harmonic, at, seconds, random)
    level = np.sqrt(a_weighted_power(noise))
    return np.asarray(noise / level, dtype=np.float32)


def _whole(frequency: float, seconds: float) -> float:
    """Give the nearest frequency with a whole number of turns, so that it loops."""
    return round(frequency * seconds) / seconds


def _tone(
    frequency: float,
    at: NDArray[np.float64],
    seconds: float,
    random: np.random.Generator,
) -> NDArray[np.float64]:
    phase = random.uniform(0, 2 * np.pi)
    return np.asarray(np.sin(2 * np.pi * _whole(frequency, seconds) * at + phase))


def _pink(count: int, random: np.random.Generator) -> NDArray[np.float64]:
    spectrum = np.fft.rfft(random.standard_normal(count))
    frequency = np.fft.rfftfreq(count, 1 / RATE)
    spectrum /= np.sqrt(np.maximum(frequency, 20.0))
    noise = np.fft.irfft(spectrum, count)
    return np.asarray(noise / np.std(noise))


def a_weighted_power(sound: NDArray[np.floating]) -> float:
    """Give the mean power of a sound after A-weighting."""
    if len(sound) == 0:
        return 0.0
    spectrum = np.fft.rfft(sound)
    squared = np.fft.rfftfreq(len(sound), 1 / RATE) ** 2
    weight = (12194.0**2 * squared**2) / (
        (squared + 20.6**2)
        * np.sqrt((squared + 107.7**2) * (squared + 737.9**2))
        * (squared + 12194.0**2)
    )
    weight *= 10 ** (2.0 / 20)  # 0 dB at 1 kHz
    power = np.abs(spectrum * weight) ** 2
    return float(2 * power.sum() / len(sound) ** 2)

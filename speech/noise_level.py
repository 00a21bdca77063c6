"""How far a voice stands above the noise, as an ear hears it.

References
----------
IEC 61672-1:2013, annex E: the A-weighting curve in closed form.
"""

import numpy as np

from speech.segmenter import Segment
from speech.sound import RATE, Samples

_QUIETEST = 1.0  # counts squared; digital silence has no level
_FRAME = 640  # 40 ms


def level_db(samples: Samples) -> float:
    """Give the A-weighted level of a sound [dB over one count]."""
    return float(10 * np.log10(max(_QUIETEST, _a_weighted_power(samples))))


def over_noise_db(segment: Segment) -> float | None:
    """Give how far the loud half of an utterance stands above the noise before it [dB].

    A-weighted; None where too little noise was heard before it.
    """
    if len(segment.noise_before) < RATE // 10 or len(segment.samples) < _FRAME:
        return None
    noise = max(_QUIETEST, _a_weighted_power(segment.noise_before))
    count = len(segment.samples) // _FRAME
    frames = segment.samples[: count * _FRAME].reshape(count, _FRAME)
    powers = np.sort([_a_weighted_power(frame) for frame in frames])
    loud = float(powers[count // 2 :].mean())
    return float(10 * np.log10(max(_QUIETEST, loud - noise) / noise))


def _a_weighted_power(samples: Samples) -> float:
    if not len(samples):
        return 0.0
    spectrum = np.fft.rfft(samples.astype(np.float64))
    squared = np.fft.rfftfreq(len(samples), 1 / RATE) ** 2
    weight = (12194.0**2 * squared**2) / (
        (squared + 20.6**2)
        * np.sqrt((squared + 107.7**2) * (squared + 737.9**2))
        * (squared + 12194.0**2)
    )
    power = np.abs(spectrum * weight * 10 ** (2.0 / 20)) ** 2
    return float(2 * power.sum() / len(samples) ** 2)

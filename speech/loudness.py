"""Make a synthesised sentence carry: even out its loud and soft parts, use all the room.

The synthesiser leaves a third to a half of the room to full scale unused, and its soft
consonants lie far below its vowels. Here the soft parts are raised against the loud
ones, gently, and the whole is set to one peak. What that gains is printed by
``tests/benchmarks/voices.py``. Quiet between words is not raised.
"""

import numpy as np

from speech.sound import Floats, Sound, to_samples

PEAK = 0.95
"""The loudest sample, of full scale."""
EVENNESS = 0.4
"""A part ten times as soft is raised by 10 to the power of this. Our own choice: above
it the consonants begin to hiss."""
_FLOOR = 0.02  # what is softer than this share of the loudest is raised no further
_BLOCK_S = 0.005
_FALL = 0.6  # of the envelope, from block to block, so that gain does not flutter
_FULL_SCALE = 32_767.0


def carrying(sound: Sound) -> Sound:
    """Give a sound its loudness; silence stays silence."""
    samples = sound.samples.astype(np.float64)
    loudest = float(np.max(np.abs(samples), initial=0.0))
    if loudest == 0:
        return sound
    envelope = np.maximum(_envelope(samples / loudest, sound.rate), _FLOOR)
    raised = samples / loudest * envelope**-EVENNESS
    level = PEAK * _FULL_SCALE / float(np.max(np.abs(raised)))
    return Sound(samples=to_samples(raised * level), rate=sound.rate)


def _envelope(samples: Floats, rate: int) -> Floats:
    """Give the envelope of the peaks, which rises ahead of a sound and falls behind it."""
    size = max(1, round(_BLOCK_S * rate))
    count = -(-len(samples) // size)
    padded = np.zeros(count * size)
    padded[: len(samples)] = np.abs(samples)
    peaks = padded.reshape(count, size).max(axis=1)
    for at in range(1, count):
        peaks[at] = max(peaks[at], peaks[at - 1] * _FALL)
    for at in range(count - 2, -1, -1):
        peaks[at] = max(peaks[at], peaks[at + 1] * _FALL)
    centers = (np.arange(count) + 0.5) * size
    smooth = np.interp(np.arange(len(samples)), centers, peaks)
    return np.asarray(smooth, dtype=np.float64)

"""The three urgency patterns as sound.

They differ in rhythm first, so that none is mistaken for another when loud machinery
or a hearing protector changes the pitch: one long note informs, two notes caution, and
three fast notes mean danger. Every note is a low fundamental with two harmonics;
all of it lies below 3 kHz, since hearing protectors and age take the highs away first
(common practice; no figures of a standard are claimed).
"""

from functools import cache

import numpy as np

from speech.ports import Pattern
from speech.sound import RATE, Floats, Sound, to_samples

_LEVEL = 20_000
_EDGE = 0.01  # seconds of rise and fall, so that notes do not click

_RHYTHMS: dict[Pattern, tuple[tuple[float, float, float], ...]] = {
    # fundamental [Hz], length [s], silence after [s]
    "information": ((520.0, 0.35, 0.10),),
    "caution": ((660.0, 0.20, 0.12), (520.0, 0.20, 0.15)),
    "danger": (
        (880.0, 0.10, 0.06),
        (880.0, 0.10, 0.06),
        (880.0, 0.10, 0.06),
    ),
}


@cache
def tone_sound(pattern: Pattern) -> Sound:
    """Give the sound of a pattern, 16 kHz mono."""
    parts = [
        part
        for pitch, length, silence in _RHYTHMS[pattern]
        for part in (_note(pitch, length), np.zeros(round(silence * RATE)))
    ]
    return Sound(samples=to_samples(np.concatenate(parts)))


def _note(pitch: float, length: float) -> Floats:
    at = np.arange(round(length * RATE)) / RATE
    wave = sum(
        (np.sin(2 * np.pi * pitch * order * at) / order for order in (1, 2, 3)),
        start=np.zeros(len(at)),
    )
    edge = np.minimum(1.0, np.minimum(at, at[::-1]) / _EDGE)
    return np.asarray(_LEVEL * edge * wave / np.max(np.abs(wave)))

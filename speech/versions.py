"""The sounds of one utterance that are decoded apart, so that their decodes can vote.

The first of them is the one whose fit is measured.
"""

from dataclasses import dataclass

from speech.comfort import on_a_bed
from speech.noise_reduction import reduce_noise
from speech.segmenter import Segment
from speech.sound import RATE, Samples, resample

_FASTER, _SLOWER = 1.07, 0.93


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Version:
    """A sound that votes, and whether its digits may be loose."""

    sound: Samples
    loose: bool = False


def of_digits(segment: Segment, floor: float) -> list[Version]:
    """Give what votes where a number is due; the one to measure the fit on first."""
    heard = segment.samples
    clean = reduce_noise(heard, segment.noise_before, floor)
    faster = resample(clean, RATE * _FASTER, RATE)
    bedded = on_a_bed(clean)
    return [
        Version(sound=bedded),
        Version(sound=on_a_bed(faster, place=5_000)),
        Version(sound=bedded, loose=True),
        Version(sound=on_a_bed(heard, place=14_000), loose=True),
        Version(sound=on_a_bed(faster, place=9_000), loose=True),
    ]


def of_words(segment: Segment, floor: float) -> list[Version]:
    """Give what votes where no number is due.

    Designations have digits too, but loose ones only made their decoding slower by half.
    """
    heard = segment.samples
    clean = reduce_noise(heard, segment.noise_before, floor)
    faster, slower = (resample(clean, RATE * s, RATE) for s in (_FASTER, _SLOWER))
    return [
        Version(sound=on_a_bed(clean)),
        Version(sound=on_a_bed(heard, place=14_000)),
        Version(sound=on_a_bed(slower, place=3_000)),
        Version(sound=on_a_bed(faster, place=5_000)),
        Version(sound=clean),
    ]

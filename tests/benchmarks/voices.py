"""Which voice, pitch and rate carry best over a condenser fan, open and behind muffs.

    .venv/bin/python tests/benchmarks/voices.py --seed 1

Measured, for each manner of speaking: the close calls and some read-backs are rendered;
speech and fan noise are set to the same A-weighted level and compared in octave bands
from 250 Hz to 4 kHz. What stands out of the noise in each band, from -15 to +15 dB, is
averaged with equal weights and given as a share from 0 to 1. "Open" is a loudspeaker or
an open headset. "Muffs" is a headset inside hearing protectors that keep out 10 dB at
250 Hz and 6 dB more for each octave above (an assumed slope, from memory of how such
protectors behave, not of one model): there only the noise is weakened. "Dull" is an ear
that has lost 10 dB at 2 kHz and 25 dB at 4 kHz, of speech and noise alike, with a floor
of its own. This is a stand-in to compare voices by, not a listening test, and no index
of a standard. The length of the close call is printed as well, and its A-weighted level
at full volume: as the synthesiser gives it, and evened out as the companion speaks it
(``speech/loudness.py``). That level adds to what stands out, decibel for decibel.
"""

import argparse
import itertools
import math

import numpy as np

from companion.shell.rehearsal.noise import RATE, a_weighted_power, fan_noise
from speech.loudness import carrying
from speech.rendering import Manner
from speech.sound import Sound
from speech.voice import Voice

ENGLISH = (
    "Close. Close the valve now.",
    "Close. Close the valve now. Pressure is at the limit.",
    "Suction: one one eight p s i. Affirmative or negative?",
    "Liquid line: niner six degrees. Affirmative or negative?",
)
SPANISH = (
    "Cierre. Cierre la válvula ya.",
    "Cierre. Cierre la válvula ya. La presión está en el límite.",
    "Succión: uno uno ocho p s i. ¿Afirmativo o negativo?",
    "Línea de líquido: nueve seis grados. ¿Afirmativo o negativo?",
)
BANDS_HZ = (250, 500, 1000, 2000, 4000)
MUFFS_DB = {250: 10, 500: 16, 1000: 22, 2000: 28, 4000: 34}
DULL_DB = {250: 0, 500: 0, 1000: 0, 2000: 10, 4000: 25}
FLOOR_DB = -20.0
"""The ear's own floor, under the level of the noise as a whole."""


def bands(sound: np.ndarray) -> dict[int, float]:
    """Give the power [dB] in each octave band of a sound of A-weighted power 1."""
    sound = sound / math.sqrt(a_weighted_power(sound))
    power = np.abs(np.fft.rfft(sound)) ** 2 / len(sound) ** 2 * 2
    at = np.fft.rfftfreq(len(sound), 1 / RATE)
    return {
        center: 10
        * math.log10(
            float(power[(at >= center / 2**0.5) & (at < center * 2**0.5)].sum()) + 1e-12
        )
        for center in BANDS_HZ
    }


def share(speech: dict[int, float], noise: dict[int, float], ear: str) -> float:
    """Give the share of the bands in which speech stands out."""
    total = 0.0
    for center in BANDS_HZ:
        lost = DULL_DB[center] if ear == "dull" else 0
        kept_out = MUFFS_DB[center] if ear == "muffs" else 0
        under = max(noise[center] - kept_out - lost, FLOOR_DB)
        above = speech[center] - lost - under
        total += (min(15.0, max(-15.0, above)) + 15) / 30
    return total / len(BANDS_HZ)


def level(sounds: list[Sound]) -> float:
    """Give the A-weighted level of sounds in a row [dB of full scale]."""
    samples = np.concatenate([each.samples.astype(np.float64) for each in sounds])
    return 10 * math.log10(a_weighted_power(samples / 32_768))


def main() -> None:
    """Render, compare and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    noise = bands(fan_noise(20.0, given.seed))
    voice = Voice()
    print(
        f"{'voice':14} {'pitch':>5} {'rate':>5}  open  muffs  dull  [s]  "
        "level plain, evened [dB of full scale]"
    )
    for (base, texts), variant in itertools.product(
        (("en-us", ENGLISH), ("es-419", SPANISH)), ("", "+m3", "+f2", "+f3")
    ):
        for pitch, rate in ((30, 165), (50, 165), (70, 165), (50, 140), (50, 190)):
            manner = Manner(voice=base + variant, pitch=pitch, rate=rate)
            sounds = [voice.render(text, manner).at(RATE) for text in texts]
            speech = bands(
                np.concatenate([each.samples.astype(np.float32) for each in sounds])
            )
            figures = [share(speech, noise, ear) for ear in ("open", "muffs", "dull")]
            shown = "  ".join(f"{figure:.2f}" for figure in figures)
            levels = [level(sounds), level([carrying(each) for each in sounds])]
            print(
                f"{manner.voice:14} {pitch:5d} {rate:5d}  {shown}  "
                f"{sounds[0].seconds:.2f}  {levels[0]:6.1f} {levels[1]:6.1f}"
            )
    voice.close()


if __name__ == "__main__":
    main()

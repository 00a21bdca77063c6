"""Sounds for the hearing benchmark: who speaks, what is said, in which noise.

Synthetic voices come from the bundled synthesiser. Real people's single digits are read
from a folder of WAV files named DIGIT_SPEAKER_TAKE.wav when there is one; they are
joined with short pauses to readings said one digit at a time. Everything is drawn from
a seed. Where there is a program that speaks as flite does, its voices, which were made
from recordings of people, are speakers as well.
"""

import random
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.shell.rehearsal.noise import RATE, a_weighted_power, fan_noise
from companion.shell.rehearsal.sound_stage import TECHNICIANS
from speech import digits_spoken, number_forms
from speech.rendering import Manner
from speech.segmenter import Segment, Segmenter
from speech.sound import Samples, read_wav, to_samples
from speech.voice import Voice

Floats = NDArray[np.float64]

VOICES = (
    *TECHNICIANS,
    Manner(voice="en-gb-scotland", rate=150, pitch=40),
    Manner(voice="en-gb-x-rp", rate=150, pitch=60),
)
LEVELS: tuple[float | None, ...] = (None, 20.0, 15.0, 10.0, 5.0)
"""Speech over noise [dB, A-weighted]; None is a quiet room."""
SPEECH_RMS = 2500.0
LEAD_S, TAIL_S = 1.5, 1.0
_PAUSE_S = (0.04, 0.14)  # between joined digits


def hiss(seconds: float, seed: int) -> Floats:
    """Make the noise of a cleaner or a blower: flat, with a motor's whine, unit power."""
    chance = np.random.default_rng(seed)
    count = round(seconds * RATE)
    at = np.arange(count) / RATE
    noise = chance.standard_normal(count)
    for harmonic, level in ((1, 0.5), (2, 0.3), (5, 0.2)):
        noise += level * np.sin(
            2 * np.pi * 310.0 * harmonic * at + chance.uniform(0, 6)
        )
    return np.asarray(noise / a_weighted_power(noise) ** 0.5)


NOISES: dict[str, Callable[[float, int], NDArray[np.floating]]] = {
    "fan": fan_noise,
    "hiss": hiss,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """Something that was said, without noise."""

    words: str
    form: str
    sound: Floats


FLITE = ("kal16", "awb", "rms", "slt")
"""Voices of flite: one joined from a person's sounds, three statistical ones."""


class Speakers:
    """Everybody who can speak here; closes its synthesiser.

    ``digits`` is a folder of recorded digits, ``flite`` the program of that name.
    """

    def __init__(self, digits: Path | None, flite: str = "") -> None:
        self._voice = Voice()
        self._flite = flite
        self._made: dict[tuple[str, str], Floats] = {}
        self._takes: dict[tuple[str, int], list[Path]] = {}
        for path in sorted(digits.glob("?_*_*.wav")) if digits else ():
            digit, name, _ = path.stem.split("_")
            self._takes.setdefault((name, int(digit)), []).append(path)
        self.people = tuple(sorted({name for name, _ in self._takes}))
        self.voices = tuple(f"voice {n + 1}" for n in range(len(VOICES)))
        self.others = tuple(f"flite {name}" for name in FLITE) if flite else ()

    def kind(self, speaker: str) -> str:
        """Give the kind of a speaker, for a table."""
        if speaker in self.people:
            return "people's digits"
        return "other synthesiser" if speaker in self.others else "synthetic voices"

    def close(self) -> None:
        """Let the synthesiser go."""
        self._voice.close()

    def say(self, speaker: str, words: str) -> Spoken:
        """Have words said; a person, of whom only digits are known, gets a voice."""
        if speaker in self.others:
            sound = self._by_flite(speaker.removeprefix("flite "), words)
            return Spoken(words=words, form="phrase", sound=sound)
        if speaker in self.people:
            manner = VOICES[self.people.index(speaker) % len(VOICES)]
        else:
            manner = VOICES[self.voices.index(speaker)]
        said = self._voice.render(words, manner).at(RATE).samples
        return Spoken(words=words, form="phrase", sound=said.astype(np.float64))

    def _by_flite(self, voice: str, words: str) -> Floats:
        if (voice, words) not in self._made:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "said.wav"
                command = (self._flite, "-voice", voice, "-t", words, "-o", str(path))
                subprocess.run(command, check=True)  # noqa: S603 - named by the caller
                self._made[voice, words] = read_wav(path).samples.astype(np.float64)
        return self._made[voice, words]

    def companion(self, words: str) -> Floats:
        """Have the companion's own voice say words."""
        return self._voice.render(words).at(RATE).samples.astype(np.float64)

    def reading(
        self, speaker: str, value: Decimal, tries: int, chance: random.Random
    ) -> Spoken:
        """Have a number said: freely first, then one digit at a time, then freely."""
        if speaker in self.people:
            return self._joined(speaker, value, chance)
        forms = number_forms(value)
        words = digits_spoken(value) if tries == 2 else chance.choice(forms)
        said = self.say(speaker, words)
        return Spoken(words=words, form=form_of(words), sound=said.sound)

    def _joined(self, speaker: str, value: Decimal, chance: random.Random) -> Spoken:
        parts: list[Floats] = []
        for digit in f"{value}":
            path = chance.choice(self._takes[speaker, int(digit)])
            sound = read_wav(path).samples.astype(np.float64)
            loudness = max(1.0, float(np.sqrt(np.mean(sound**2))))
            pause = np.zeros(round(chance.uniform(*_PAUSE_S) * RATE))
            parts += [sound / loudness * 3000, pause]
        words = " ".join(f"{value}")
        return Spoken(words=words, form="digits", sound=np.concatenate(parts[:-1]))


TALK = (
    "hand me that wrench would you",
    "i think it might rain today",
    "what time is lunch",
    "that fan is really loud",
    "did you lock the van",
    "put the panel over there",
    "we will be done in an hour",
    "the customer wants to know the price",
    "turn it up a little",
    "my phone is ringing",
    "this coil is filthy",
    "watch your step on the roof",
    "can you bring me some water",
    "traffic and weather together on the hour",
    "where did i put the screwdriver",
    "it needs two more screws",
    "call me at five",
    "i have been here since eight",
    "ten minutes and we leave",
    "there were four of them",
    "the unit is about twelve years old",
)
"""Small talk and a radio; some of it holds numbers."""

MORE_TALK = (
    *TALK,
    "step back from the edge",
    "the top of the unit is hot",
    "that shop is shut on sunday",
    "drop it over there",
    "i need some more tape",
    "those clothes are dirty",
    "we stepped out for a minute",
    "this stuff is expensive",
    "put it on top",
    "start the truck",
    "it was a long night",
    "the dog is barking",
    "she said around noon",
    "that is a nice truck",
    "stand over there",
    "the compressor is humming",
    "i told him twice",
    "no problem at all",
    "see you tomorrow",
    "hold this for a second",
    "can you hear me",
    "the breaker is off",
    "we opened at seven",
    "good job",
    "let us go",
    "what do you think",
    "slow down a bit",
    "the clock on the wall is wrong",
    "pass me the socket set",
    "who locked the shop",
    "it is got a slow drip",
    "up a step and to the left",
    "it is not far",
    "the hose goes there",
    "grab the other end",
    "is that your phone",
)
"""The same and more, some of it near to stop and close, but without these words."""


def form_of(words: str) -> str:
    """Name the form a number was said in."""
    said = words.split()
    if "hundred" in said or "thousand" in said:
        return "in full"
    if all(word in _DIGIT_WORDS for word in said):
        return "digits"
    return "pairs" if len(said) > 1 else "one word"


_DIGIT_WORDS = frozenset(
    [
        "zero",
        "oh",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "niner",
    ]
)


def recorded(said: Floats, noise: str, level: float | None, seed: int) -> Samples:
    """Give what a microphone makes of it: noise before, under and after the words."""
    scaled = said * (SPEECH_RMS / max(1.0, a_weighted_power(said) ** 0.5))
    lead, tail = round(LEAD_S * RATE), round(TAIL_S * RATE)
    mixed = np.pad(scaled, (lead, tail))
    if level is None:
        mixed += np.random.default_rng(seed).normal(0, 4, len(mixed))
    else:
        around = NOISES[noise](len(mixed) / RATE + 0.01, seed)[: len(mixed)]
        mixed += around * (SPEECH_RMS / 10 ** (level / 20))
    return to_samples(mixed)


def utterances(sound: Samples) -> list[Segment]:
    """Cut a recording as the listener does that has heard the place before."""
    cutter = Segmenter()
    cutter.learn(sound[: RATE * 5 // 4])
    step = RATE // 10
    found = [
        segment
        for start in range(0, len(sound), step)
        for segment in cutter.feed(sound[start : start + step])
    ]
    return [*found, *cutter.flush()]

"""Stop and close at any moment, and the companion's own voice in its own ear.

    .venv/bin/python tests/benchmarks/hearing_stop.py --seed 1

Detection while it is silent and while the companion talks (its voice 15 dB under the
technician's in the microphone), false alarms an hour in small talk and in bare noise, and
what the two ears make of the companion's own sentences. Then every fixed sentence and a
row of read-backs are played to the engine's open vocabulary in fan noise: those of which
it finds less than a third of the words are listed, as a stand-in for a listener.
"""

import argparse
import re
import sys
from collections import Counter
from importlib import import_module
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from companion.shell.rehearsal.noise import a_weighted_power, fan_noise
from companion.shell.wording import read_wording
from speech.keywords import LISTENED, LOUD, own_words
from speech.pocketsphinx_listener import PocketsphinxEngine
from speech.segmenter import Segmenter
from speech.sound import RATE, Samples, to_samples
from speech.vocabulary import NumberRange, Vocabulary
from speech.words import tokens
from tests.benchmarks.hearing import upper
from tests.benchmarks.hearing_dialogue import YES_OR_NO
from tests.benchmarks.hearing_sounds import (
    NOISES,
    SPEECH_RMS,
    TALK,
    Floats,
    Speakers,
    recorded,
    utterances,
)

STOPS = ("stop", "emergency stop", "close", "close the valve")
ECHO_DB = 15.0
KEYWORDS = Vocabulary(controls=LISTENED, strict=True)
SENTENCES = (
    "Let it settle for seven five seconds. I will tell you when.",
    "Superheat two four degrees. Target one four degrees. It is short of charge.",
    "Suction. One one eight p s i. Affirmative or negative?",
)


class Ears:
    """The keyword ear and the dialogue's, both without their processes."""

    def __init__(self) -> None:
        self._engine = PocketsphinxEngine()

    def keywords(self, sound: Samples) -> list[str]:
        """Give what the ear that is never closed takes."""
        cutter = Segmenter(LOUD)
        cutter.learn(sound[:RATE])
        step = RATE // 10
        found = [
            segment
            for start in range(0, len(sound), step)
            for segment in cutter.feed(sound[start : start + step])
        ]
        found += cutter.flush()
        words = [self._engine.decode(each, KEYWORDS).words for each in found]
        said = [set(each.split()) & {"stop", "close"} for each in words]
        return [word for each in said for word in each]

    def dialogue(self, sound: Samples, vocabulary: Vocabulary) -> list[str]:
        """Give what the dialogue's ear would take if it were open."""
        words = (
            self._engine.decode(each, vocabulary).words for each in utterances(sound)
        )
        return [each for each in words if each]


def over_voice(said: Floats, own: Floats, seed: int) -> Samples:
    """Put a technician's word over the companion's voice, both over fan noise."""
    word = said * (SPEECH_RMS / a_weighted_power(said) ** 0.5)
    echo = own * (SPEECH_RMS / 10 ** (ECHO_DB / 20) / a_weighted_power(own) ** 0.5)
    lead, later = RATE * 3 // 2, RATE * 5 // 2
    mixed = np.zeros(max(lead + len(echo), later + len(word)) + RATE)
    mixed[lead : lead + len(echo)] += echo
    mixed[later : later + len(word)] += word
    noise = fan_noise(len(mixed) / RATE + 0.01, seed)[: len(mixed)]
    return to_samples(mixed + noise * (SPEECH_RMS / 10**0.5))


def stop_words(ears: Ears, speakers: Speakers, seed: int) -> None:
    """Print detection and false alarms."""
    print(
        "\nStop and close, never-closed ear, 10 dB over fan noise: heard, of how many"
    )
    for when in ("silent", "companion talking"):
        hits: Counter[str] = Counter()
        for at, words in enumerate(STOPS):
            for number, speaker in enumerate(speakers.voices):
                said = speakers.say(speaker, words).sound
                salt = seed * 1000 + at * 10 + number
                if when == "silent":
                    sound = recorded(said, "fan", 10, salt)
                else:
                    own = speakers.companion(SENTENCES[number % len(SENTENCES)])
                    sound = over_voice(said, own, salt)
                hits[words] += words.split()[0].replace("emergency", "stop") in (
                    ears.keywords(sound)
                )
        each = len(speakers.voices)
        shown = ", ".join(f"{words} {hits[words]}" for words in STOPS)
        print(f"  {when:18} {shown}; of {each} each")
    alarms, seconds = 0, 0.0
    for number, words in enumerate(TALK * 2):
        said = speakers.say(speakers.voices[number % len(speakers.voices)], words)
        sound = recorded(said.sound, "fan", 15, seed + number)
        alarms += len(ears.keywords(sound))
        seconds += len(said.sound) / RATE
    print(
        f"  false alarms in talk: {alarms} in {seconds:.0f} s of speech: "
        f"{3600 * alarms / seconds:.0f} an hour of talk without a pause"
    )
    alarms = 0
    for number, noise in enumerate(list(NOISES) * 3):
        sound = to_samples(NOISES[noise](20.0, seed + number) * 900)
        alarms += len(ears.keywords(sound))
    print(f"  false alarms in bare noise: {alarms} in {20 * 3 * len(NOISES)} s")


def own_voice(ears: Ears, speakers: Speakers, lines: list[str], seed: int) -> None:
    """Print what the ears make of the companion's own sentences."""
    number = Vocabulary(
        numbers=NumberRange(low=-15, high=500, units=("psi",)),
        controls=("stop", "close", "again", "why", "help"),
    )
    taken: dict[str, list[str]] = {"keywords": [], "value due": [], "yes due": []}
    for at, line in enumerate(lines):
        sound = recorded(speakers.companion(line), "fan", 15, seed + at)
        found = [word for word in ears.keywords(sound) if word not in own_words(line)]
        taken["keywords"] += [line] * bool(found)
        taken["value due"] += [line] * bool(ears.dialogue(sound, number))
        taken["yes due"] += [line] * bool(ears.dialogue(sound, YES_OR_NO))
    n = len(lines)
    print(f"\nThe companion's own {n} sentences, as loud as a technician")
    print(
        f"  obeyed by the never-closed ear: {len(taken['keywords'])} "
        f"(<{upper(len(taken['keywords']), n):.1f} %): {taken['keywords']}"
    )
    for due in ("value due", "yes due"):
        print(
            f"  would be taken with a {due} if the ear were not closed: "
            f"{len(taken[due])} of {n}: {taken[due][:6]}"
        )


def understood(speakers: Speakers, lines: list[str], seed: int) -> None:
    """Print the sentences that the open vocabulary does not find again in noise."""
    library = import_module("pocketsphinx")
    model = Path(library.get_model_path()) / "en-us"
    decoder: Any = library.Decoder(
        library.Config(
            hmm=str(model / "en-us"),
            dict=str(model / "cmudict-en-us.dict"),
            lm=str(model / "en-us.lm.bin"),
            loglevel="FATAL",
        )
    )
    print(
        "\nSentences found again by less than a third of their words, 20 dB over fan noise"
    )
    poor = 0
    for at, line in enumerate(lines):
        sound = recorded(speakers.companion(line), "fan", 20, seed + at)
        decoder.start_utt()
        decoder.process_raw(sound.astype("<i2").tobytes(), full_utt=True)
        decoder.end_utt()
        found = decoder.hyp()
        said, heard = (
            Counter(tokens(line)),
            Counter(() if found is None else str(found.hypstr).split()),
        )
        share = sum((said & heard).values()) / max(1, sum(said.values()))
        if share < 1 / 3:
            poor += 1
            print(f"  {share:4.0%}  {line}")
    print(f"  {poor} of {len(lines)}")


def main() -> None:
    """Play all of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--every", type=int, default=1, help="only every so-manieth line"
    )
    given = parser.parse_args()
    speakers, ears = Speakers(None), Ears()
    cues = read_wording("us").tables.cues.values()
    fixed = [line for line in cues if "{" not in line and re.search(r"\w", line)]
    lines = [*fixed, *SENTENCES][:: given.every]
    try:
        stop_words(ears, speakers, given.seed)
        own_voice(ears, speakers, lines, given.seed)
        understood(speakers, lines, given.seed)
    finally:
        speakers.close()


if __name__ == "__main__":
    main()

"""Stop and close at any moment, and the companion's own voice in its own ear.

    .venv/bin/python tests/benchmarks/hearing_stop.py --seed 1

Detection while it is silent and while the companion talks (its voice 15 dB under the
technician's in the microphone), false alarms an hour in small talk and in bare noise, and
what the two ears make of the companion's own sentences.
"""

import argparse
import hashlib
import pickle
import re
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from companion.job.facts import AnswerAccepted, AnswerDoubted
from companion.shell.knowing import read_know
from companion.shell.rehearsal.noise import a_weighted_power, fan_noise
from companion.shell.translate import ear_vocabulary
from companion.shell.wording import read_wording
from speech.decoding import Decoded
from speech.evidence import Evidence, judge
from speech.keywords import LISTENED, LOUD, own_words
from speech.phrases import shipped_phrases
from speech.pocketsphinx_listener import PocketsphinxEngine
from speech.segmenter import Segment, Segmenter
from speech.sound import RATE, Samples, to_samples
from speech.vocabulary import NumberRange, Vocabulary
from tests.benchmarks.hearing_dialogue import YES_OR_NO, YESES, give_decoded
from tests.benchmarks.hearing_figures import upper
from tests.benchmarks.hearing_sounds import (
    LEVELS,
    MORE_TALK,
    NOISES,
    SPEECH_RMS,
    Floats,
    Speakers,
    recorded,
    utterances,
)
from tests.benchmarks.intelligible import read_backs
from tests.conftest import SITES, Play

STOPS = (
    "stop",
    "stop stop",
    "emergency stop",
    "close",
    "close close",
    "close the valve",
)
STOP_LEVELS = (15.0, 10.0, 5.0)
ECHO_DB = 15.0
KEYWORDS = Vocabulary(controls=LISTENED, strict=True)
NUMBER = Vocabulary(
    numbers=NumberRange(low=50, high=200, decimals=1, units=("psi",)),
    controls=("stop", "close", "again", "why", "back", "status", "help"),
)
VALVE = replace(NUMBER, wary=True)
"""The same ear while the valve is open."""
SENTENCES = (
    "Let it settle for seven five seconds. I will tell you when.",
    "Superheat two four degrees. Target one four degrees. It is short of charge.",
    "Suction. One one eight p s i. Affirmative or negative?",
)
_WORDS = {"stop": {"stop"}, "emergency": {"stop"}, "close": {"close"}}


class Ears:
    """The keyword ear and the dialogue's, both without their processes.

    What a sound shows is kept, in a file if there is one: decoding takes the time.
    """

    def __init__(self, kept: Path | None = None) -> None:
        self._engine = PocketsphinxEngine()
        self._file = kept
        self._kept: dict[bytes, list[Evidence | None]] = {}
        if kept is not None and kept.is_file():
            self._kept = pickle.loads(kept.read_bytes())  # noqa: S301 - our own file

    def keep(self) -> None:
        """Write what was kept."""
        if self._file is not None:
            self._file.write_bytes(pickle.dumps(self._kept))

    def keywords(
        self, sound: Samples, *, wary: bool = False, talking: bool = False
    ) -> list[str]:
        """Give what the ear that is never closed takes."""
        due = replace(KEYWORDS, wary=wary, talking=talking)
        said = [
            set(each.split()) & {"stop", "close"} for each in self.heard(sound, due)
        ]
        return [word for each in said for word in each]

    def dialogue(self, sound: Samples, vocabulary: Vocabulary) -> list[str]:
        """Give what the dialogue's ear would take if it were open."""
        return [each for each in self.heard(sound, vocabulary) if each]

    def heard(self, sound: Samples, vocabulary: Vocabulary) -> list[str]:
        """Give the words of each utterance in a sound."""
        return [each.words for each in self.decoded(sound, vocabulary)]

    def decoded(self, sound: Samples, vocabulary: Vocabulary) -> list[Decoded]:
        """Give what becomes of each utterance in a sound."""
        plain = replace(vocabulary, wary=False, talking=False)
        how = repr(plain) + (repr(LOUD) if plain.strict else "")
        key = hashlib.sha256(sound.tobytes() + how.encode()).digest()
        if key not in self._kept:
            cut = _cut_loud(sound) if vocabulary.strict else utterances(sound)
            self._kept[key] = [self._engine.evidence(each, plain) for each in cut]
        phrases = shipped_phrases()
        return [
            judge(each, vocabulary, phrases)
            for each in self._kept[key]
            if each is not None
        ]


def _cut_loud(sound: Samples) -> list[Segment]:
    cutter = Segmenter(LOUD)
    cutter.learn(sound[:RATE])
    step = RATE // 10
    found = [
        segment
        for start in range(0, len(sound), step)
        for segment in cutter.feed(sound[start : start + step])
    ]
    return [*found, *cutter.flush()]


def over_voice(said: Floats, own: Floats, seed: int, level: float = 10.0) -> Samples:
    """Put a technician's word over the companion's voice, both over fan noise."""
    word = said * (SPEECH_RMS / a_weighted_power(said) ** 0.5)
    echo = own * (SPEECH_RMS / 10 ** (ECHO_DB / 20) / a_weighted_power(own) ** 0.5)
    lead, later = RATE * 3 // 2, RATE * 5 // 2
    mixed = np.zeros(max(lead + len(echo), later + len(word)) + RATE)
    mixed[lead : lead + len(echo)] += echo
    mixed[later : later + len(word)] += word
    noise = fan_noise(len(mixed) / RATE + 0.01, seed)[: len(mixed)]
    return to_samples(mixed + noise * (SPEECH_RMS / 10 ** (level / 20)))


Hear = Callable[[Samples], list[str]]


def stop_words(ears: Ears, speakers: Speakers, seed: int) -> None:
    """Print how often stop and close are heard: by ear, by words, by level."""
    everybody = (*speakers.voices, *speakers.others)
    hear: dict[str, Hear] = {
        "dialogue's ear, a number due": lambda s: ears.dialogue(s, NUMBER),
        "dialogue's ear, valve open": lambda s: ears.dialogue(s, VALVE),
        "never-closed ear": ears.keywords,
        "never-closed ear, companion talking": (
            lambda s: ears.keywords(s, talking=True)
        ),
        "the same, valve open": (lambda s: ears.keywords(s, wary=True, talking=True)),
    }
    print(
        f"\nStop and close heard, of {len(everybody)} voices each, by the level over noise"
    )
    for name, ear in hear.items():
        talking = "talking" in name or "same" in name
        rights: Counter[str] = Counter()
        for at, words in enumerate(STOPS):
            shown = []
            for level in STOP_LEVELS:
                hits = 0
                for number, speaker in enumerate(everybody):
                    said = speakers.say(speaker, words).sound
                    salt = seed * 1000 + at * 10 + number
                    noise = list(NOISES)[number % len(NOISES)]
                    sound = recorded(said, noise, level, salt)
                    if talking:
                        own = speakers.companion(SENTENCES[number % len(SENTENCES)])
                        sound = over_voice(said, own, salt, level)
                    found = {word for each in ear(sound) for word in each.split()}
                    hits += bool(found & {"stop", "close"})
                    rights[words] += bool(found & _WORDS[words.split()[0]])
                shown.append(f"{level:.0f} dB {hits:2}")
            print(
                f"  {name:36} {words:16} {', '.join(shown)}; as that word "
                f"{rights[words]} of {len(everybody) * len(STOP_LEVELS)}"
            )


def false_alarms(ears: Ears, speakers: Speakers, minutes: float, seed: int) -> None:
    """Print what is taken for stop or close that was none, and for an answer."""
    everybody = (*speakers.voices, *speakers.others)

    def talk(number: int) -> tuple[str, Samples]:
        words = MORE_TALK[number % len(MORE_TALK)]
        said = speakers.say(everybody[number % len(everybody)], words)
        noise = list(NOISES)[number % len(NOISES)]
        return words, recorded(said.sound, noise, LEVELS[number % 5], seed + number)

    def noise(number: int) -> tuple[str, Samples]:
        kind = list(NOISES)[number % len(NOISES)]
        return kind, to_samples(NOISES[kind](20.0, seed + number) * 900)

    policy = Policy()
    due, wary = policy.due, replace(policy.due, wary=True)
    hear: dict[str, Hear] = {
        "dialogue's ear": lambda s: ears.dialogue(s, due),
        "dialogue's ear, valve open": lambda s: ears.dialogue(s, wary),
        "never-closed ear": ears.keywords,
        "never-closed ear, valve open": lambda s: ears.keywords(s, wary=True),
    }
    print("\nTaken for stop or close that was none, and for an answer")
    for kind, make in {"talk and pauses": talk, "bare noise": noise}.items():
        seconds, number = 0.0, 0
        alarms: dict[str, list[str]] = {name: [] for name in hear}
        answers: dict[str, list[str]] = {
            READ_BACK: [],
            YES: [],
            HALF_YES: [],
        }
        while seconds < 60 * minutes:
            words, sound = make(number)
            seconds, number = seconds + len(sound) / RATE, number + 1
            for name, ear in hear.items():
                found = {word for each in ear(sound) for word in each.split()}
                alarms[name] += [words] * bool(found & {"stop", "close"})
            value = any(map(policy.reads_back, ears.decoded(sound, due)))
            answers[READ_BACK] += [words] * value
            yeses = [e for e in ears.decoded(sound, YES_OR_NO) if e.words in YESES]
            answers[YES] += [words] * any(each.sure for each in yeses)
            answers[HALF_YES] += [words] * bool(yeses)
        for name, taken in alarms.items():
            hour = 3600 * len(taken) / seconds
            print(
                f"  {kind:16} {name:30} {len(taken):3} of {number} sounds, "
                f"{seconds / 60:.0f} min: {hour:.1f} an hour {taken[:8]}"
            )
        for what, taken in answers.items():
            bound = upper(len(taken), number)
            print(
                f"  {kind:16} {what}: {len(taken)} of {number} "
                f"(<{bound:.1f} %) {taken[:6]}"
            )


READ_BACK = "read back as a value, which none becomes without a yes"
YES = "taken for a yes while one is due"
HALF_YES = "the same, or half heard as one and asked for once more"


class Policy:
    """A job in which a suction pressure is due."""

    def __init__(self) -> None:
        self._play = Play(read_know(), read_wording("us")).begin()
        self._play.walk_to(SITES["liquid-pulses"], "suction-pressure@0")
        play = self._play
        self.due = ear_vocabulary(play.job, play.know, play.wording)

    def reads_back(self, decoded: Decoded) -> bool:
        """Tell whether it would read back or take a value."""
        play = Play(self._play.know, self._play.wording, self._play.job)
        facts = give_decoded(play, decoded)
        return any(isinstance(each, AnswerDoubted | AnswerAccepted) for each in facts)


def own_voice(ears: Ears, speakers: Speakers, lines: list[str], seed: int) -> None:
    """Print what the ears make of the companion's own sentences."""
    taken: dict[str, list[str]] = {"keywords": [], "value due": [], "yes due": []}
    for at, line in enumerate(lines):
        sound = recorded(speakers.companion(line), "fan", 15, seed + at)
        found = set(ears.keywords(sound, talking=True)) - own_words(line)
        taken["keywords"] += [line] * bool(found)
        taken["value due"] += [line] * bool(ears.dialogue(sound, NUMBER))
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


def main() -> None:
    """Play all of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--every", type=int, default=1, help="only every so-manieth line"
    )
    parser.add_argument("--digits", type=Path, default=Path("spoken-digits"))
    parser.add_argument(
        "--flite", default="", help="a program that speaks as flite does"
    )
    parser.add_argument("--keep", type=Path, help="a file that keeps what was decoded")
    parser.add_argument("--minutes", type=float, default=20, help="of each other sound")
    parser.add_argument(
        "--part", default="all", choices=("all", "stop", "alarms", "own")
    )
    given = parser.parse_args()
    digits = given.digits if given.digits.is_dir() else None
    speakers, ears = Speakers(digits, given.flite), Ears(given.keep)
    wording = read_wording("us")
    fixed = [line for line in wording.tables.cues.values() if "{" not in line]
    questions = wording.tables.questions.values()
    asked = [line for line in questions if re.search(r"\w", line) and "{" not in line]
    lines = [*fixed, *asked, *read_backs(wording), *SENTENCES][:: given.every]
    try:
        if given.part in ("all", "stop"):
            stop_words(ears, speakers, given.seed)
        if given.part in ("all", "alarms"):
            false_alarms(ears, speakers, given.minutes, given.seed)
        if given.part in ("all", "own"):
            own_voice(ears, speakers, lines, given.seed)
    finally:
        ears.keep()
        speakers.close()


if __name__ == "__main__":
    main()

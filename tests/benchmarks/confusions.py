"""Measure what the bundled engine's evidence is worth: writes speech/data/confusions.toml.

    .venv/bin/python tests/benchmarks/confusions.py --seed 77 --each 4 > table.toml

Readings are said three times each by synthetic voices and, where there are any, by real
people, in noise; every decode of every utterance is kept. Then weights are sought that
make what was meant likeliest: one for each number of agreeing decodes, one for "none of
these", and one for each word, held near zero unless the sounds insist (conditional logit,
with a normal prior on the weights). A word with a low weight is one that the engine hears
where something else was said.
"""

import argparse
import random
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from speech import Number, NumberRange, Vocabulary, understand
from speech.numbers import NUMBER_WORDS
from speech.pocketsphinx_listener import PocketsphinxEngine
from tests.benchmarks.hearing_sounds import (
    LEVELS,
    Speakers,
    recorded,
    utterances,
)

DIGITS = Path("spoken-digits")
"""Folder of recorded digits, one a file, as DIGIT_SPEAKER_NUMBER.wav; see --digits."""
ASKED = Vocabulary(
    numbers=NumberRange(low=-15, high=500, decimals=1, units=("psi", "bar", "kpa")),
    controls=("stop", "close", "again", "why", "back", "status", "help"),
)
DECODES = 5
_STEADY, _STEADY_WORD = 0.02, 2.0  # of the prior: how strongly weights are held at zero
_ROUNDS, _STEP = 1500, 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """Values that decodes heard, with their words and votes, and which was meant."""

    values: tuple[tuple[Decimal, str, int], ...]
    meant: Decimal


def utterance(votes: Iterable[str], meant: Decimal) -> Utterance:
    """Count the votes of one utterance by what they mean."""
    found: dict[Decimal, tuple[str, int]] = {}
    for words in votes:
        meaning = understand(words, ASKED)
        if isinstance(meaning, Number):
            first, count = found.get(meaning.value, (words, 0))
            found[meaning.value] = first, count + 1
    values = tuple((value, words, n) for value, (words, n) in found.items())
    return Utterance(values=values, meant=meant)


def fit(heard: Iterable[Utterance]) -> tuple[list[float], float, dict[str, float]]:
    """Seek the weights: by votes, of "none of these", and by word."""
    used = [each for each in heard if each.values]
    words = sorted({w for e in used for _, said, _ in e.values for w in _own(said)})
    place = {word: DECODES + 1 + at for at, word in enumerate(words)}
    size = DECODES + 1 + len(words)
    tables = []
    for each in used:
        table = np.zeros((len(each.values) + 1, size))
        table[-1, DECODES] = 1
        right = len(each.values)
        for at, (value, said, votes) in enumerate(each.values):
            table[at, votes - 1] = 1
            for word in _own(said):
                table[at, place[word]] += 1
            if value == each.meant:
                right = at
        tables.append((table, right))
    steady = np.r_[np.full(DECODES + 1, _STEADY), np.full(len(words), _STEADY_WORD)]
    weights = np.zeros(size)
    for _ in range(_ROUNDS):
        slope = -steady * weights
        for table, right in tables:
            odds = np.exp(table @ weights - (table @ weights).max())
            slope += table[right] - odds @ table / odds.sum()
        weights += _STEP * slope / (1 + len(tables) / 100)
    by_word = {word: round(float(weights[at]), 2) for word, at in place.items()}
    by_votes = [round(float(each), 2) for each in weights[:DECODES]]
    return by_votes, round(float(weights[DECODES]), 2), by_word


def _own(said: str) -> list[str]:
    """Give the number words; nobody says a unit here, so nothing is learned of units."""
    return [word for word in said.split() if word in NUMBER_WORDS]


def main() -> None:
    """Measure, fit and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=77)
    parser.add_argument(
        "--each", type=int, default=4, help="readings a speaker and level"
    )
    parser.add_argument("--digits", type=Path, default=DIGITS)
    given = parser.parse_args()
    speakers = Speakers(given.digits if given.digits.is_dir() else None)
    engine = PocketsphinxEngine()
    chance = random.Random(given.seed)  # noqa: S311 - seeded, so that it can be repeated
    heard: list[Utterance] = []
    everybody = (*speakers.voices, *speakers.people)
    places = [(s, level) for s in everybody for level in LEVELS] * given.each
    try:
        for number, (speaker, level) in enumerate(places):
            low, high = chance.choice(((20, 99), (60, 160), (100, 500)))
            value = Decimal(chance.randint(low, high))
            for tries in (1, 2, 3):
                said = speakers.reading(speaker, value, tries, chance)
                seed = given.seed * 100_000 + number * 3 + tries
                sound = recorded(said.sound, ("fan", "hiss")[number % 2], level, seed)
                found = utterances(sound)
                if found:
                    longest = max(found, key=lambda each: len(each.samples))
                    evidence = engine.evidence(longest, ASKED)
                    if evidence is not None:
                        heard.append(utterance(evidence.votes, value))
    finally:
        speakers.close()
    by_votes, rest, by_word = fit(heard)
    print("[pocketsphinx]")
    print(
        f'measured = "tests/benchmarks/confusions.py --seed {given.seed} --each '
        f'{given.each}: {len(heard)} utterances"'
    )
    print(f"agreement = {by_votes}\nrest = {rest}\n\n[pocketsphinx.words]")
    for word, weight in sorted(by_word.items(), key=lambda item: item[1]):
        print(f'"{word}" = {weight}')


if __name__ == "__main__":
    main()

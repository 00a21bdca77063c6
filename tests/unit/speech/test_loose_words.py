"""Digits without their sharp consonants: words of their own, written as the others."""

import numpy as np
import pytest

from speech.grammar import jsgf
from speech.loose_words import LOOSE, as_written, loosely, spelling
from speech.phrases import shipped_phrases
from speech.segmenter import Segment
from speech.sound import RATE
from speech.versions import Version, of_digits, of_words
from speech.vocabulary import NumberRange, Vocabulary

NUMBER = Vocabulary(numbers=NumberRange(low=20, high=600))
ANSWER = Vocabulary(controls=("yes", "no"))


def grammar(vocabulary: Vocabulary) -> str:
    return jsgf(vocabulary, shipped_phrases(), lambda _: True)


@pytest.mark.parametrize("digit", sorted(LOOSE))
def test_a_loose_digit_is_read_as_the_digit(digit: str) -> None:
    assert (
        loosely(f"one {digit} | {digit}teen") == f"one {spelling(digit)} | {digit}teen"
    )
    assert as_written(f"one {spelling(digit)}") == f"one {digit}"


def test_rules_of_the_grammar_keep_their_names() -> None:
    changed = loosely(grammar(NUMBER))
    assert "<zero> = loose_zero | oh;" in changed
    assert as_written(changed) == grammar(NUMBER)


def test_a_grammar_without_digits_stays_as_it_is() -> None:
    assert loosely(grammar(ANSWER)) == grammar(ANSWER)


def segment() -> Segment:
    chance = np.random.default_rng(1)
    samples = (chance.normal(0, 500, RATE)).astype(np.int16)
    return Segment(samples=samples, noise_before=samples, begin=0, end=RATE)


def test_five_different_sounds_vote() -> None:
    for versions in (of_digits(segment(), 0.15), of_words(segment(), 0.15)):
        assert len(versions) == 5
        told = {(each.sound.tobytes(), each.loose) for each in versions}
        assert len(told) == 5


def test_the_fit_is_measured_with_the_dictionarys_words() -> None:
    first: Version = of_digits(segment(), 0.15)[0]
    assert not first.loose
    assert sum(each.loose for each in of_digits(segment(), 0.15)) == 3
    assert not any(each.loose for each in of_words(segment(), 0.15))

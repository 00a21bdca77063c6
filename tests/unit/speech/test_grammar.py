import re

import pytest

from speech.grammar import jsgf, phrase_list, spoken_phrases, unknown_words
from speech.names import name_forms
from speech.phrases import shipped_phrases
from speech.vocabulary import NumberRange, Vocabulary

EVERYTHING = Vocabulary(
    numbers=NumberRange(low=-40, high=650, decimals=1, units=("psi", "f")),
    names=("R-410A", "R-22"),
    choices={"fixed": ("fixed orifice", "piston")},
    controls=("again", "unknown"),
)


def all_known(_):
    return True


def test_the_grammar_holds_all_that_may_be_said():
    grammar = jsgf(EVERYTHING, shipped_phrases(), all_known)
    for phrase in (*name_forms("R-410A"), "piston", "say again", "i don't know"):
        assert re.search(rf"[=|]\s*{phrase}\s*[|;]", grammar), phrase
    for part in ("point | decimal", "minus | negative", "p s i", "degrees", "hundred"):
        assert part in grammar
    assert grammar.startswith("#JSGF V1.0;")
    assert "thousand" not in grammar


def test_no_other_control_and_no_stop_unless_listed():
    grammar = jsgf(EVERYTHING, shipped_phrases(), all_known)
    for word in ("stop", "close", "closed", "yes"):
        assert not re.search(rf"\b{word}\b", grammar)
    asked = jsgf(Vocabulary(controls=("closed",)), shipped_phrases(), all_known)
    assert re.search(r"\| not closed\b", asked)
    with_stop = jsgf(Vocabulary(controls=("stop",)), shipped_phrases(), all_known)
    assert re.search(r"\bstop\b", with_stop)


def test_an_empty_vocabulary_has_no_grammar():
    assert jsgf(Vocabulary(), shipped_phrases(), all_known) == ""
    assert phrase_list(Vocabulary(), shipped_phrases(), all_known) == []


def test_words_that_cannot_be_heard_are_left_out_and_named():
    def knows(word):
        return word not in ("orifice", "alpha", "psig")

    for text in (
        jsgf(EVERYTHING, shipped_phrases(), knows),
        "\n".join(phrase_list(EVERYTHING, shipped_phrases(), knows)),
    ):
        assert not re.search(r"\b(orifice|alpha|psig)\b", text)
        assert re.search(r"\bpiston\b", text)
    missing = unknown_words(EVERYTHING, shipped_phrases(), knows)
    assert set(missing) == {"orifice", "alpha", "psig"}


def test_the_phrase_list_spells_numbers_out():
    listed = phrase_list(EVERYTHING, shipped_phrases(), all_known)
    for phrase in ("one eighteen", "six hundred fifty", "point five", "minus four"):
        assert phrase in listed
    assert len(listed) == len(set(listed)) < 8000


@pytest.mark.parametrize("high", [5, 45, 450, 4500])
def test_numbers_have_no_more_digits_than_the_range(high):
    vocabulary = Vocabulary(numbers=NumberRange(low=0, high=high))
    grammar = jsgf(vocabulary, shipped_phrases(), all_known)
    assert ("thousand" in grammar) == (high > 999)
    assert ("hundred" in grammar) == (high > 99)
    assert ("point" in grammar) is False


def test_spoken_phrases_do_not_repeat():
    phrases = spoken_phrases(EVERYTHING, shipped_phrases())
    assert len(phrases) == len(set(phrases))

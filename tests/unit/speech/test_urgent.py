from dataclasses import replace

import pytest

from speech.evidence import Evidence, judge
from speech.phrases import shipped_phrases
from speech.urgent import (
    AGREED,
    TALKING_AGAIN,
    TALKING_ONCE,
    USUAL,
    WARY,
    UrgentEvidence,
    phrase_grammar,
    said_urgently,
    urgent_phrases,
    weight,
)
from speech.vocabulary import NumberRange, Vocabulary

CLEAR = UrgentEvidence(
    words="stop stop", over_others=1000.0, over_phones=-2.0, covers=1.1
)
DUE = Vocabulary(
    numbers=NumberRange(low=20, high=600, units=("psi",)), controls=("again", "stop")
)


def test_clear_evidence_is_stop():
    assert said_urgently(CLEAR, wary=False) == "stop stop"
    assert said_urgently(None, wary=True) == ""


@pytest.mark.parametrize("part", ["over_others", "over_phones", "covers"])
def test_each_part_of_the_evidence_counts(part):
    step = {"over_others": 300.0, "over_phones": 3.0, "covers": 0.2}[part]
    less = replace(CLEAR, **{part: getattr(CLEAR, part) - step})
    assert weight(less) < weight(CLEAR)


def test_an_open_valve_asks_for_less():
    unclear = replace(CLEAR, over_phones=-12.0)
    assert WARY < weight(unclear) < USUAL
    assert said_urgently(unclear, wary=False) == ""
    assert said_urgently(unclear, wary=True) == "stop stop"


def test_more_is_asked_for_while_the_companion_talks_most_of_a_single_word() -> None:
    once = replace(CLEAR, words="stop", over_others=600.0, over_phones=-10.0)
    assert USUAL < weight(once) < TALKING_ONCE
    assert said_urgently(once, wary=True) == "stop"
    assert said_urgently(once, wary=True, talking=True) == ""
    assert said_urgently(CLEAR, wary=False, talking=True) == "stop stop"
    echo = replace(CLEAR, over_phones=-9.0)
    assert USUAL < weight(echo) < TALKING_AGAIN
    assert said_urgently(echo, wary=False, talking=True) == ""


@pytest.mark.parametrize("worst", [-1e9, -2000.0])
def test_sound_that_is_anything_rather_than_stop_is_not_stop(worst):
    talk = replace(CLEAR, over_others=worst, over_phones=-60.0, covers=0.5)
    assert said_urgently(talk, wary=True) == ""


def test_what_is_looked_for_is_what_is_obeyed_here():
    assert urgent_phrases(DUE) == (
        "stop",
        "stop stop",
        "stop stop stop",
        "emergency stop",
    )
    assert urgent_phrases(Vocabulary(controls=("yes",))) == ()


def test_the_technicians_own_word_is_looked_for_by_its_own_ear_only():
    choices = {"own-stop": ("red light",)}
    own = Vocabulary(controls=("stop",), choices=choices, strict=True)
    assert "red light red light" in urgent_phrases(own)
    assert "red light" not in urgent_phrases(replace(own, strict=False))


def test_the_grammar_holds_nothing_else():
    assert "= stop | close;" in phrase_grammar(("stop", "close"))


def test_clear_stop_beats_every_vote_for_a_number():
    votes = ("eight oh",) * 5
    found = judge(Evidence(votes=votes, fit=0.0, urgent=CLEAR), DUE, shipped_phrases())
    assert (found.words, found.guesses) == ("stop stop", ())
    unclear = replace(CLEAR, over_phones=-40.0)
    evidence = Evidence(votes=votes, fit=0.0, urgent=unclear)
    assert judge(evidence, DUE, shipped_phrases()).words == "eight oh"


def test_a_number_that_nearly_all_heard_well_asks_for_more():
    near = replace(CLEAR, over_others=500.0, over_phones=-5.0)
    assert USUAL < weight(near) < USUAL + AGREED

    def words(votes, fit):
        found = Evidence(votes=votes, fit=fit, urgent=near)
        return judge(found, DUE, shipped_phrases()).words

    assert words(("six oh",) * 5, -1.0) == "six oh"
    assert words(("six oh",) * 5, -13.0) == "stop stop"
    assert words(("six oh", "five oh", "two oh", "six oh", "oh"), -1.0) == "stop stop"


def test_a_long_form_asks_for_more_than_a_short_one() -> None:
    short, long, again = (
        weight(replace(CLEAR, words=words))
        for words in ("close", "close the valve", "close close")
    )
    assert long < short
    assert again < short


def test_an_own_word_of_two_parts_is_not_taken_for_one_said_twice() -> None:
    once = replace(CLEAR, words="red light")
    assert weight(once) == weight(replace(CLEAR, words="stop"))


def test_a_small_part_of_a_long_utterance_is_not_said_urgently() -> None:
    part = UrgentEvidence(
        words="stop stop stop", over_others=-3000.0, over_phones=46.0, covers=0.14
    )
    assert said_urgently(part, wary=True) == ""

import pytest

from speech.evidence import Evidence, judge
from speech.phrases import shipped_phrases
from speech.urgent import UrgentEvidence
from speech.vocabulary import NumberRange, Vocabulary

PRESSURE = Vocabulary(
    numbers=NumberRange(low=20, high=600, units=("psi",)),
    controls=("again", "stop", "close", "closed", "yes", "no"),
)
NAMES = Vocabulary(names=("R-410A", "R-22"))
GOOD, POOR = 0.0, -15.0


def heard(*votes, fit=GOOD, vocabulary=PRESSURE):
    return judge(Evidence(votes=votes, fit=fit), vocabulary, shipped_phrases())


def test_decodes_agree_by_what_they_mean():
    decoded = heard(
        "one eighteen",
        "one hundred eighteen",
        "one one eight",
        "one hundred and eighteen",
        "one eighty",
    )
    assert decoded.words == "one eighteen"
    assert decoded.confidence == 0.8
    assert not decoded.sure


def test_five_votes_count_more_but_a_number_is_never_sure():
    decoded = heard(*["one eighteen"] * 5)
    assert decoded.confidence > 0.9
    assert not decoded.sure


@pytest.mark.parametrize(
    "votes",
    [
        ("one eighteen", "one eighteen", "one eighteen", "one eighty", ""),
        ("", "", "", "", ""),
        ("one one eighteen",) * 5,
        ("four ten",) * 0,
    ],
)
def test_too_little_agreement_is_nothing(votes):
    assert heard(*votes).words == ""


@pytest.mark.parametrize(
    ("words", "vocabulary"),
    [("one eighteen", PRESSURE), ("yes", PRESSURE), ("four ten a", NAMES)],
)
def test_sound_that_fits_phones_much_better_is_nothing(words, vocabulary):
    assert heard(*[words] * 5, vocabulary=vocabulary).words == words
    assert heard(*[words] * 5, fit=POOR, vocabulary=vocabulary).words == ""


def test_an_unfinished_designation_is_nothing_for_this_engine():
    assert heard(*["four ten"] * 5, vocabulary=NAMES).words == ""


@pytest.mark.parametrize(
    ("votes", "words"),
    [
        (("no", "no", "no", "stop", "stop"), "stop"),
        (("no", "no", "no", "no", "stop"), "no"),
        (("closed", "closed", "closed", "close", "close"), "close"),
        (("closed", "closed", "closed", "closed", "close"), "closed"),
    ],
)
def test_urgent_words_need_fewer_votes(votes, words):
    assert heard(*votes).words == words


@pytest.mark.parametrize(
    ("words", "fit", "sure"),
    [
        ("yes", GOOD, True),
        ("say again", GOOD, True),
        ("valve closed", GOOD, False),
        ("yes", -6.0, False),
        ("closed", GOOD, False),
        ("no", GOOD, False),
        ("affirmative", -11.9, True),
        ("affirmative", -12.1, False),
    ],
)
def test_only_measured_words_with_every_vote_are_sure(words, fit, sure):
    assert heard(*[words] * 5, fit=fit).sure is sure
    assert heard(*[words] * 4, "", fit=fit).sure is False


def test_affirmative_with_every_vote_is_heard_in_sound_that_fits_it_less():
    assert heard(*["affirmative"] * 5, fit=-13.0).words == "affirmative"
    assert heard(*["affirmative"] * 4, "yes", fit=-13.0).words == ""
    assert heard(*["affirmative"] * 5, fit=-14.0).words == ""
    assert heard(*["negative"] * 5, fit=-13.0).words == ""


@pytest.mark.parametrize(
    ("votes", "fit", "words"),
    [
        (("no", "no", "stop", "stop", "stop"), GOOD, "stop"),
        (("no", "no", "", "stop", "stop"), GOOD, ""),
        (("no", "no", "stop", "stop", "stop"), -9.5, ""),
    ],
)
def test_among_few_words_stop_needs_more_unless_the_valve_is_open(votes, fit, words):
    few = Vocabulary(controls=("yes", "no", "stop"))
    assert heard(*votes, fit=fit, vocabulary=few).words == words
    open_valve = Vocabulary(controls=("yes", "no", "stop"), wary=True)
    assert heard(*votes, fit=fit, vocabulary=open_valve).words == "stop"


@pytest.mark.parametrize(
    ("votes", "fit", "words"),
    [
        (("stop",) * 5, GOOD, "stop"),
        (("stop", "stop", "stop", "stop", ""), GOOD, "stop"),
        (("stop", "stop", "stop", "", ""), GOOD, ""),
        (("stop",) * 5, -9.5, ""),
    ],
)
def test_an_ear_that_is_never_closed_asks_for_clear_evidence(votes, fit, words):
    strict = Vocabulary(controls=("stop", "close", "closed"), strict=True)
    assert heard(*votes, fit=fit, vocabulary=strict).words == words


def test_every_number_that_was_heard_is_a_guess_weighed_by_its_votes():
    decoded = heard("one eighteen", "one eighteen", "one eighty", "", "one eighteen")
    assert decoded.words == ""
    assert [each.words for each in decoded.guesses] == ["one eighteen", "one eighty"]
    assert decoded.guesses[0].weight > decoded.guesses[1].weight
    assert heard(*["one eighteen"] * 5, fit=POOR).guesses == ()
    assert heard("yes", "yes", "yes", "one", "yes").words == "yes"


NEAR_CLOSE = UrgentEvidence(
    words="close close", over_others=1000.0, over_phones=-4.2, covers=0.9
)
CLOSE = UrgentEvidence(words="close", over_others=1200.0, over_phones=8.7, covers=1.04)


@pytest.mark.parametrize(
    ("votes", "urgent", "words"),
    [
        (("all done",) * 5, NEAR_CLOSE, "all done"),
        ((*("all done",) * 3, "", "yes"), NEAR_CLOSE, "close close"),
        (("all done",) * 5, CLOSE, "close"),  # as measured where it was said
    ],
)
def test_a_word_that_all_decodes_heard_needs_more_to_be_a_call_to_close(
    votes, urgent, words
):
    found = judge(
        Evidence(votes=votes, fit=-1.8, urgent=urgent),
        Vocabulary(controls=("done", "yes", "stop", "close")),
        shipped_phrases(),
    )
    assert found.words == words

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speech.names import Ambiguous, Name, name_forms, name_spoken, near, parse_name

LISTED = """
R-22 R-32 R-123 R-134a R-142b R-290 R-404A R-407A R-407C R-407F R-410A R-410B R-448A
R-449A R-454B R-454C R-507A R-600 R-600a R-744 R-1234yf R-1234ze(E) R-1233zd(E)
R-1336mzz(E) R-1336mzz(Z) R-13I1 R-C318 R-E170 R-227ea R-1130(E)
"""
NAMES = LISTED.split()


@pytest.mark.parametrize(
    ("words", "designation"),
    [
        ("four ten a", "R-410A"),
        ("r four ten a", "R-410A"),
        ("are four ten alpha", "R-410A"),
        ("refrigerant four ten a", "R-410A"),
        ("four one zero alfa", "R-410A"),
        ("four hundred ten a", "R-410A"),
        ("four hundred and ten a", "R-410A"),
        ("four oh seven charlie", "R-407C"),
        ("twenty two", "R-22"),
        ("two two", "R-22"),
        ("one thirty four a", "R-134a"),
        ("one three four alpha", "R-134a"),
        ("thirty two", "R-32"),
        ("six hundred a", "R-600a"),
        ("six hundred", "R-600"),
        ("twelve thirty four y f", "R-1234yf"),
        ("twelve thirty four zulu echo", "R-1234ze(E)"),
        ("twelve thirty four z e echo", "R-1234ze(E)"),
        ("R-410A", "R-410A"),
        ("c three eighteen", "R-C318"),
        ("thirteen i one", "R-13I1"),
    ],
)
def test_heard_whole(words, designation):
    assert parse_name(words, NAMES) == Name(designation=designation)


@pytest.mark.parametrize(
    ("words", "said", "candidates"),
    [
        ("four oh seven", "R-407", ("R-407A", "R-407C", "R-407F")),
        ("four ten", "R-410", ("R-410A", "R-410B")),
        ("four oh seven hotel", "R-407H", ("R-407A", "R-407C", "R-407F")),
        ("four eleven a", "R-411A", ("R-410A",)),
        ("twelve thirty four", "R-1234", ("R-1234yf", "R-1234ze(E)")),
        ("thirteen thirty six m z z", "R-1336MZZ", ("R-1336mzz(E)", "R-1336mzz(Z)")),
        ("nine ninety nine", "R-999", ()),
    ],
)
def test_a_question_instead_of_a_guess(words, said, candidates):
    assert parse_name(words, NAMES) == Ambiguous(said=said, candidates=candidates)


def test_a_lone_candidate_is_still_a_question():
    assert parse_name("four ten", ["R-410A"]) == Ambiguous(
        said="R-410", candidates=("R-410A",)
    )


@pytest.mark.parametrize(
    "words",
    [
        "",
        "r",
        "five",
        "hello",
        "alpha",
        "four ten a please",
        "minus four ten a",
        "a b c",
    ],
)
def test_not_shaped_like_a_designation(words):
    assert parse_name(words, NAMES) is None


@given(
    st.lists(st.sampled_from(NAMES), min_size=1, unique=True).flatmap(
        lambda names: st.tuples(st.just(names), st.sampled_from(names))
    )
)
def test_every_form_of_every_name_parses_back(case):
    names, name = case
    for form in (*name_forms(name, names), name_spoken(name)):
        assert parse_name(form, names) == Name(designation=name)


def test_read_back():
    assert name_spoken("R-407C") == "R four zero seven charlie"
    assert name_spoken("R-1234yf") == "R one two three four yankee foxtrot"


def test_near():
    assert near("R-43A", ["R-32", "R-453A", "R-403A", "R-423A"]) == (
        "R-453A",
        "R-403A",
        "R-423A",
    )


def test_a_misspelt_designation_is_refused():
    with pytest.raises(ValueError, match="write it like R-22"):
        name_spoken("410A")

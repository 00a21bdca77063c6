import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.designations import alike, designation_key, edits

WORDS = st.text("0123456789ABC", max_size=6)


@pytest.mark.parametrize("text", ["R-407C", "r407c", "407 c", " R 407-C "])
def test_spelling_does_not_matter(text: str) -> None:
    assert designation_key(text) == "407C"


def test_isomers_stay_apart() -> None:
    assert designation_key("R-1234ze(E)") != designation_key("R-1234yf")


@given(WORDS, WORDS, WORDS)
def test_edits_are_a_distance(a: str, b: str, c: str) -> None:
    assert edits(a, b) == edits(b, a)
    assert (edits(a, b) == 0) == (a == b)
    assert edits(a, c) <= edits(a, b) + edits(b, c)


def test_alike_names_come_in_the_order_given() -> None:
    names = ["R-448A", "R-458A", "R-407C", "R-45A"]
    assert alike("R-458A", names) == ("R-448A", "R-45A")
    assert alike("R-410C", names) == ()


def test_names_that_sound_alike() -> None:
    names = ["R-414B", "R-407C", "R-1234yf", "R-454A", "R-454B", "R-22"]
    assert alike("R-440B", names) == ("R-414B",)  # forty and fourteen
    assert alike("R-470C", names) == ("R-407C",)
    assert alike("R-1234", names) == ("R-1234yf",)
    assert alike("R-454", names) == ("R-454A", "R-454B")
    assert alike("R-2", names) == ("R-22",)


def test_nothing_is_like_nothing() -> None:
    assert alike(" - ", ["R-22"]) == ()

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speech.numbers import digits_spoken, number_forms, parse_number, whole_forms

numbers = st.builds(
    lambda whole, places, down: (
        Decimal(-1 if down else 1) * Decimal(whole).scaleb(-places)
    ),
    st.integers(0, 9999),
    st.integers(0, 3),
    st.booleans(),
)


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("one eighteen", "118"),
        ("one hundred eighteen", "118"),
        ("one hundred and eighteen", "118"),
        ("a hundred and eighteen", "118"),
        ("one one eight", "118"),
        ("two twenty five", "225"),
        ("one twenty five", "125"),
        ("twenty five", "25"),
        ("two five", "25"),
        ("one oh five", "105"),
        ("one zero five", "105"),
        ("niner niner", "99"),
        ("oh", "0"),
        ("sixty two point five", "62.5"),
        ("sixty two decimal five", "62.5"),
        ("six two point five", "62.5"),
        ("point five", "0.5"),
        ("zero point oh five", "0.05"),
        ("minus four", "-4"),
        ("negative one two point five", "-12.5"),
        ("minus zero", "0"),
        ("twelve hundred", "1200"),
        ("one thousand", "1000"),
        ("one thousand eighteen", "1018"),
        ("ten eighteen", "1018"),
        ("twelve oh five", "1205"),
        ("nine thousand nine hundred ninety nine point nine", "9999.9"),
        ("118", "118"),
        ("-62.5", "-62.5"),
    ],
)
def test_what_people_say(words, value):
    assert parse_number(words) == Decimal(value)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "hello",
        "point",
        "minus",
        "one point",
        "one point two point three",
        "one point eighteen",
        "eleven five",
        "one one eighteen",
        "one two twenty five",
        "one one one one one",
        "hundred",
        "twenty hundred",
        "one hundred hundred",
        "ten thousand",
        "one hundred and",
        "and five",
        "one eighteen [unk]",
        "one minus two",
        "twenty eighteen five",
    ],
)
def test_what_is_no_number(words):
    assert parse_number(words) is None


@given(numbers)
def test_every_form_parses_back(value):
    for form in number_forms(value):
        assert parse_number(form) == value


@given(numbers)
def test_the_read_back_parses_back(value):
    assert parse_number(digits_spoken(value)) == value


def test_no_two_whole_numbers_share_a_form():
    owner = {}
    for value in range(10_000):
        for form in whole_forms(value):
            assert owner.setdefault(form, value) == value
    assert len(owner) > 60_000


@pytest.mark.parametrize(
    ("value", "spoken"),
    [
        ("118", "one one eight"),
        ("62.5", "six two decimal five"),
        ("-4", "negative four"),
        ("100", "one zero zero"),
        ("62.50", "six two decimal five"),
        ("0", "zero"),
    ],
)
def test_read_back(value, spoken):
    assert digits_spoken(Decimal(value)) == spoken


@pytest.mark.parametrize("value", ["10000", "-10000", "0.1234", "NaN", "Infinity"])
def test_what_cannot_be_spoken(value):
    with pytest.raises(ValueError, match=r"spoken|decimals"):
        digits_spoken(Decimal(value))

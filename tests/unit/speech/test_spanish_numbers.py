"""Spanish numbers both ways: every form of every gauge number parses back to it."""

from decimal import Decimal

import pytest

from speech.spanish_numbers import (
    digits_spoken,
    number_forms,
    parse_number,
    whole_forms,
)

SAID = [
    ("uno uno ocho", "118"),
    ("ciento dieciocho", "118"),
    ("uno dieciocho", "118"),
    ("setenta y cuatro", "74"),
    ("veintidós", "22"),
    ("veintidos", "22"),
    ("diez y seis", "16"),
    ("cien", "100"),
    ("ciento ocho", "108"),
    ("quinientas", "500"),
    ("mil doscientos", "1200"),
    ("dos mil cinco", "2005"),
    ("doce cero cinco", "1205"),
    ("sesenta y dos punto cinco", "62.5"),
    ("sesenta y dos coma cinco", "62.5"),
    ("doce con cinco", "12.5"),
    ("uno coma veinticinco", "1.25"),
    ("treinta y uno y medio", "31.5"),
    ("menos cuatro", "-4"),
    ("cinco bajo cero", "-5"),
    ("118", "118"),
    ("62,5", "62.5"),
    ("62.5", "62.5"),
    ("-4", "-4"),
]
NOT_NUMBERS = [
    "",
    "ciento",
    "cien veinte",
    "once cinco",
    "veinte cinco",
    "uno uno dieciocho",
    "treinta y",
    "punto",
    "coma cinco coma cinco",
    "dos mil mil",
    "hola",
    "1,200",
    "1.200",
]


@pytest.mark.parametrize(("words", "value"), SAID)
def test_what_people_say(words: str, value: str) -> None:
    assert parse_number(words) == Decimal(value)


@pytest.mark.parametrize("words", NOT_NUMBERS)
def test_what_is_no_number(words: str) -> None:
    assert parse_number(words) is None


def test_every_form_of_a_whole_number_parses_back() -> None:
    wrong = [
        (value, form, parse_number(form))
        for value in range(10_000)
        for form in whole_forms(value)
        if parse_number(form) != value
    ]
    assert wrong == []


def test_every_form_of_0_to_999_with_a_decimal_parses_back() -> None:
    wrong = []
    for tenths in range(10_000):
        for value in (Decimal(tenths) / 10, -Decimal(tenths) / 10):
            forms = (*number_forms(value), digits_spoken(value))
            wrong += [(value, form) for form in forms if parse_number(form) != value]
    assert wrong == []


@pytest.mark.parametrize(
    ("value", "spoken"),
    [
        ("118", "uno uno ocho"),
        ("-62.5", "menos seis dos punto cinco"),
        ("0", "cero"),
        ("1.05", "uno punto cero cinco"),
    ],
)
def test_read_back_is_digit_by_digit(value: str, spoken: str) -> None:
    assert digits_spoken(Decimal(value)) == spoken


@pytest.mark.parametrize("value", ["10000", "NaN", "0.0001"])
def test_what_cannot_be_spoken_is_refused(value: str) -> None:
    with pytest.raises(ValueError, match=r"cannot be spoken|decimals"):
        digits_spoken(Decimal(value))

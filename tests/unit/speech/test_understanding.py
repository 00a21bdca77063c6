from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speech import (
    Choice,
    Control,
    Name,
    NameUnclear,
    Number,
    NumberOutOfRange,
    NumberRange,
    Unclear,
    Vocabulary,
    shipped_phrases,
    understand,
)

PRESSURE = Vocabulary(
    numbers=NumberRange(low=20, high=600, units=("psi",)),
    controls=("again", "unknown", "no"),
)
TEMPERATURE = Vocabulary(
    numbers=NumberRange(low=-40, high=160, decimals=1, units=("f", "c"))
)
MASS = Vocabulary(numbers=NumberRange(low=0, high=1600, units=("oz", "lb", "kg")))
NAMES = Vocabulary(names=("R-407A", "R-407C", "R-410A"))
CHOICES = Vocabulary(
    choices={"fixed": ("fixed orifice", "piston"), "valve": ("expansion valve",)},
    controls=("unknown",),
)


@pytest.mark.parametrize(
    ("words", "vocabulary", "meaning"),
    [
        ("one eighteen", PRESSURE, Number(value=Decimal(118), unit=None)),
        ("one eighteen p s i", PRESSURE, Number(value=Decimal(118), unit="psi")),
        ("one eighteen pounds", PRESSURE, Number(value=Decimal(118), unit="psi")),
        ("118 psig", PRESSURE, Number(value=Decimal(118), unit="psi")),
        (
            "it reads one eighteen please",
            PRESSURE,
            Number(value=Decimal(118), unit=None),
        ),
        ("6 lb 4 oz", MASS, Number(value=Decimal(100), unit="oz")),
        (
            "six pounds four point five ounces",
            MASS,
            Number(value=Decimal("100.5"), unit="oz"),
        ),
        ("six pounds", MASS, Number(value=Decimal(6), unit="lb")),
        ("six pounds four ounces", PRESSURE, Unclear(words="six pounds four ounces")),
        ("six pounds sixteen ounces", MASS, Unclear(words="six pounds sixteen ounces")),
        ("95 f", TEMPERATURE, Number(value=Decimal(95), unit="f")),
        ("eight bar", PRESSURE, Number(value=Decimal(8), unit="bar")),
        ("eighteen degrees", PRESSURE, Number(value=Decimal(18), unit="f")),
        ("eighteen degrees", TEMPERATURE, Number(value=Decimal(18), unit=None)),
        ("minus four fahrenheit", TEMPERATURE, Number(value=Decimal(-4), unit="f")),
        (
            "eighteen",
            PRESSURE,
            NumberOutOfRange(value=Decimal(18), unit=None, low=20, high=600),
        ),
        (
            "nine hundred psi",
            PRESSURE,
            NumberOutOfRange(value=Decimal(900), unit="psi", low=20, high=600),
        ),
        ("say again", PRESSURE, Control(id="again")),
        ("I don't know", PRESSURE, Control(id="unknown")),
        ("negative", PRESSURE, Control(id="no")),
        ("yes", PRESSURE, Unclear(words="yes")),
        ("stop", PRESSURE, Control(id="stop")),
        ("one eighteen stop", PRESSURE, Control(id="stop")),
        ("[unk] close", PRESSURE, Control(id="close")),
        ("close the valve and stop", PRESSURE, Control(id="stop")),
        ("closed", PRESSURE, Unclear(words="closed")),
        ("one eighteen [unk]", PRESSURE, Unclear(words="one eighteen [unk]")),
        ("[unk]", PRESSURE, Unclear(words="[unk]")),
        ("", PRESSURE, Unclear(words="")),
        ("four ten a", PRESSURE, Unclear(words="four ten a")),
        ("four ten a", NAMES, Name(designation="R-410A")),
        (
            "four oh seven",
            NAMES,
            NameUnclear(said="R-407", candidates=("R-407A", "R-407C")),
        ),
        ("hello there", NAMES, Unclear(words="hello there")),
        ("piston", CHOICES, Choice(option="fixed")),
        ("expansion valve", CHOICES, Choice(option="valve")),
        ("not sure", CHOICES, Control(id="unknown")),
        ("one eighteen", CHOICES, Unclear(words="one eighteen")),
    ],
)
def test_meaning(words, vocabulary, meaning):
    assert understand(words, vocabulary) == meaning


def test_names_and_numbers_together():
    both = Vocabulary(numbers=NumberRange(low=0, high=999), names=("R-410A", "R-22"))
    assert understand("four ten", both) == Number(value=Decimal(410), unit=None)
    assert understand("r twenty two", both) == Name(designation="R-22")
    assert understand("four ten a", both) == Name(designation="R-410A")


@given(
    st.lists(st.sampled_from(["one", "yes", "closed", "the", "[unk]", "a", "again"])),
    st.sampled_from(["stop", "close"]),
    st.lists(st.sampled_from(["five", "no", "valve", "[unk]"])),
)
def test_stop_and_close_win_anywhere(before, word, after):
    words = " ".join([*before, word, *after])
    assert understand(words, Vocabulary()) == Control(id=word)


@pytest.mark.parametrize("control", list(shipped_phrases().controls))
def test_every_phrase_of_every_control_is_understood_only_when_listed(control):
    for phrase in shipped_phrases().controls[control]:
        listed = understand(phrase, Vocabulary(controls=(control,)))
        assert listed == Control(id=control)
        if control not in ("stop", "close"):
            assert understand(phrase, Vocabulary()) == Unclear(words=phrase)

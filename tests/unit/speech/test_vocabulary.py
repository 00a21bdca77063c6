from decimal import Decimal

import pytest

from speech.vocabulary import NumberRange, Vocabulary


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"low": 5, "high": 4}, "empty"),
        ({"low": 0, "high": 10_000}, "9999"),
        ({"low": Decimal("-10000"), "high": 0}, "9999"),
        ({"low": 0, "high": 4, "decimals": 2}, "decimals"),
        ({"low": 0, "high": 4, "units": ("furlong",)}, "furlong.*known: psi"),
        ({"low": 0, "high": 4, "units": ("psi", "psi")}, "twice"),
    ],
)
def test_ranges_that_make_no_sense(fields, fault):
    with pytest.raises(ValueError, match=fault):
        NumberRange(**fields)


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"controls": ("explode",)}, "explode"),
        ({"names": ("410A",)}, "write it like"),
        ({"choices": {"a": ("one",), "b": ("One",)}}, "'a' and 'b' share"),
        ({"choices": {"a": ("",)}}, "without words"),
        ({"choices": {"a": ("close valve",)}}, "always obeyed"),
    ],
)
def test_vocabularies_that_make_no_sense(fields, fault):
    with pytest.raises(ValueError, match=fault):
        Vocabulary(**fields)


def test_an_empty_vocabulary_is_fine():
    assert Vocabulary().controls == ()

from decimal import Decimal
from typing import Any, get_args

import pytest

from companion.job.amounts import amount
from companion.job.expectations import ALWAYS, EXPECTATIONS
from companion.job.inputs import (
    Button,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
    SaidWrongUnit,
)
from companion.job.know import Know
from companion.shell.translate import button_of, heard, understood, vocabulary
from companion.shell.wording import Wording, read_wording
from speech import Heard as Sound
from speech import digits_spoken

NAMES = ("R-410A", "R-407C", "R-407A", "R-22", "R-32")


def control(word: str) -> SaidControl:
    return SaidControl(word=word)


US = [
    # words, what is expected -> what is meant
    ("stop", ["nothing"], control("stop")),
    ("please stop now", ["suction-pressure"], control("stop")),
    ("close the valve", ["ready"], control("close")),
    ("valve closed", ["valve-closed"], control("closed")),
    ("valve closed", ["suction-pressure"], control("closed")),
    ("flowing", ["yes-no"], control("opened")),
    ("knocking", ["metering"], control("noise")),
    ("valve opened", ["open-suction"], control("opened")),
    ("affirmative", ["yes-no"], control("yes")),
    ("affirmative", ["read-back", "suction-pressure"], control("yes")),
    ("affirmative", ["ready"], SaidUnclear()),
    ("i am ready", ["ready"], control("ready")),
    ("say again", ["nothing"], control("again")),
    ("go back", ["metering"], control("back")),
    ("continue", ["halted"], control("continue")),
    ("finish", ["halted"], SaidChoice(option="finish")),
    ("piston", ["metering"], SaidChoice(option="fixed-orifice")),
    ("piston", ["unit-state"], SaidUnclear()),
    ("still leaking", ["leak-state"], SaidChoice(option="unrepaired")),
    ("four ten alpha", ["refrigerant"], SaidName(designation="R-410A")),
    ("four ten alpha", ["suction-pressure"], SaidUnclear()),
    ("unknown", ["metering"], control("unknown")),
    ("", ["yes-no"], SaidUnclear()),
    ("the weather is fine", ["yes-no"], SaidUnclear()),
]


@pytest.fixture(scope="module")
def si() -> Wording:
    return read_wording("si")


@pytest.mark.parametrize(("words", "expects", "said"), US)
def test_words_mean_what_the_moment_allows(
    wording: Wording, words: str, expects: list[str], said: Any
) -> None:
    assert understood(words, tuple(expects), wording, NAMES) == said


NUMBERS = [
    # words, what is expected, in SI [Pa, K, kg] by technician's units
    ("one two zero", "suction-pressure", 120 * 6894.757, 120e5),
    ("minus five", "suction-pressure", -5 * 6894.757, None),
    ("eight point three bar", "suction-pressure", 8.3e5, 8.3e5),
    ("eight hundred kilopascals", "suction-pressure", 8e5, 8e5),
    ("one two zero psi", "suction-pressure", 120 * 6894.757, 120 * 6894.757),
    ("five five", "suction-line-temperature", 285.928, 328.15),
    ("five five celsius", "suction-line-temperature", 328.15, 328.15),
    ("two zero degrees", "suction-line-temperature", 266.483, 293.15),
    ("one zero", "target-subcooling", 10 / 1.8, 10.0),
    ("two four zero", "cylinder-weight", 240 * 0.028349523, None),
    ("one five pounds", "cylinder-weight", 15 * 0.45359237, 15 * 0.45359237),
    ("seven point two five kilograms", "cylinder-weight", 7.25, 7.25),
]


@pytest.mark.parametrize(("words", "expects", "us_si", "si_si"), NUMBERS)
def test_a_number_has_the_unit_said_or_the_technicians_own(
    wording: Wording,
    si: Wording,
    words: str,
    expects: str,
    us_si: float | None,
    si_si: float | None,
) -> None:
    for table, value in ((wording, us_si), (si, si_si)):
        if value is None:
            continue
        said = understood(words, (expects,), table, NAMES)
        if value > 50e5:  # 120 bar is beyond what can be understood
            assert isinstance(said, SaidOutOfRange)
            continue
        assert isinstance(said, SaidQuantity)
        assert amount(said.quantity).of == EXPECTATIONS[expects].of
        assert amount(said.quantity).si == pytest.approx(value, rel=1e-5)


def test_a_number_that_can_never_be_is_told_with_its_bounds(wording: Wording) -> None:
    said = understood("eight hundred", ("suction-pressure",), wording, NAMES)
    assert said == SaidOutOfRange(value="800", low="-15", high="700", unit="p s i")


@pytest.mark.parametrize(
    ("words", "expects", "unit", "wanted"),
    [
        ("one two zero fahrenheit", "suction-pressure", "Fahrenheit", "p s i"),
        ("one two zero ounces", "suction-pressure", "ounces", "p s i"),
        ("six zero bar", "outdoor-temperature", "bar", "Fahrenheit"),
        ("five feet", "cylinder-weight", "ft", "ounces"),
    ],
)
def test_a_unit_of_another_kind_is_said_so(
    wording: Wording, words: str, expects: str, unit: str, wanted: str
) -> None:
    said = understood(words, (expects,), wording, NAMES)
    assert said == SaidWrongUnit(unit=unit, wanted=wanted)


def test_a_temperature_below_absolute_zero_is_no_temperature(
    wording: Wording, si: Wording
) -> None:
    for table, words in ((wording, "minus four hundred celsius"), (si, "minus 500 f")):
        said = understood(words, ("outdoor-temperature",), table, NAMES)
        assert not isinstance(said, SaidQuantity)


def test_a_designation_without_its_letter_is_asked_for(wording: Wording) -> None:
    said = understood("four oh seven", ("refrigerant",), wording, NAMES)
    assert isinstance(said, SaidNameUnclear)
    assert set(said.candidates) == {"R-407A", "R-407C"}


@pytest.mark.parametrize("expects", EXPECTATIONS, ids=str)
def test_everything_expected_can_be_said(wording: Wording, expects: str) -> None:
    made = vocabulary((expects,), wording, NAMES)
    expected = EXPECTATIONS[expects]
    assert set(ALWAYS) | set(expected.controls) == set(made.controls)
    assert set(made.choices) == set(expected.options)
    assert all(made.choices.values())
    assert made.names == (NAMES if expected.names else ())
    assert (made.numbers is None) == (expected.of is None)


@pytest.mark.parametrize("expects", EXPECTATIONS)
def test_the_ear_leans_to_stop_and_close_at_an_open_valve(
    wording: Wording, expects: str
) -> None:
    at_it = expects in ("open-suction", "open-weight")
    assert vocabulary((expects,), wording, NAMES).wary is at_it


def test_the_bounds_are_in_the_technicians_unit(wording: Wording, si: Wording) -> None:
    us_range = vocabulary(("suction-pressure",), wording, ()).numbers
    si_range = vocabulary(("suction-pressure",), si, ()).numbers
    assert us_range is not None
    assert si_range is not None
    assert (us_range.low, us_range.high, us_range.units[0]) == (-15, 700, "psi")
    assert (si_range.low, si_range.high, si_range.units[0]) == (-2, 49, "bar")


def test_a_read_back_takes_the_value_too(wording: Wording) -> None:
    made = vocabulary(("read-back", "suction-pressure"), wording, ())
    assert made.numbers is not None
    assert {"yes", "no"} <= set(made.controls)


def test_every_whole_number_in_range_is_understood(wording: Wording) -> None:
    for value in range(-14, 501, 7):
        said = understood(
            digits_spoken(Decimal(value)), ("suction-pressure",), wording, NAMES
        )
        assert isinstance(said, SaidQuantity)
        assert said.quantity.psi == pytest.approx(value)


@pytest.mark.parametrize(
    ("engine", "by"), [("typed", "typed"), ("vosk", "voice"), ("pocketsphinx", "voice")]
)
@pytest.mark.parametrize("sure", [True, False])
def test_what_was_heard_keeps_its_words_and_how_sure(
    wording: Wording, know: Know, engine: str, by: str, sure: bool
) -> None:
    sound = Sound(
        words="affirmative", confidence=0.4, sure=sure, engine=engine, begin=0, end=1
    )
    names = know.knowledge.catalogue.designations
    found = heard(7.5, sound, ("yes-no",), wording, names)
    assert (found.at, found.said, found.words) == (7.5, control("yes"), "affirmative")
    assert (found.sure, found.by) == (sure, by)


def test_buttons_by_name() -> None:
    for name in get_args(Button):
        assert button_of(name) == name
    assert button_of("eject") is None

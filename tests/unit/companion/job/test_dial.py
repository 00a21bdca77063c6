"""What the dial offers, and the places of a number."""

from decimal import Decimal

import pytest

from companion.job.dial import ANY_MOMENT, MINUS, NUMBER, Scale, menu, places
from companion.job.expectations import ALWAYS, EXPECTATIONS
from companion.shell.dial_scales import dial_scales

SCALES = dial_scales()


@pytest.mark.parametrize("expects", EXPECTATIONS)
def test_every_moment_offers_what_can_be_said_there(expects: str) -> None:
    expected = EXPECTATIONS[expects]
    found = menu(expected, ("R-22", "R-410A"))
    assert len(set(found)) == len(found)
    assert found[-len(ANY_MOMENT) :] == ANY_MOMENT
    can_be_said = {*expected.options, *expected.controls} - {"ready"}
    assert can_be_said <= set(found)
    assert (NUMBER in found) == (expected.of is not None)
    assert ("R-410A" in found) == expected.names


def test_every_word_of_any_moment_is_a_button_or_in_every_menu() -> None:
    assert set(ALWAYS) - {"stop", "close"} <= set(ANY_MOMENT)


@pytest.mark.parametrize(
    ("expects", "first"),
    [
        ("yes-no", "no"),
        ("suction-pressure", NUMBER),
        ("refrigerant", "R-22"),
        ("metering", "fixed-orifice"),
        ("halted", "continue"),
        ("ready", "wait"),
    ],
)
def test_the_likeliest_comes_first(expects: str, first: str) -> None:
    assert menu(EXPECTATIONS[expects], ("R-22", "R-410A"))[0] == first


@pytest.mark.parametrize(
    ("expects", "system", "names"),
    [
        ("suction-pressure", "us", ["hundreds", "tens", "ones"]),
        ("suction-pressure", "si", ["tens", "ones", "tenths"]),
        ("cylinder-weight", "us", ["thousands", "hundreds", "tens", "ones"]),
        ("charge-adder", "si", ["tens", "ones", "tenths", "hundredths"]),
        ("target-subcooling", "us", ["tens", "ones"]),
    ],
)
def test_the_places_of_a_number(expects: str, system: str, names: list[str]) -> None:
    expected = EXPECTATIONS[expects]
    found = places(expected, SCALES[system, str(expected.of)])
    entered = ""
    for name in names:
        assert not found.full(entered)
        assert found.name(entered) == name
        entered += "1"
    assert found.full(entered)


def test_minus_comes_first_or_never() -> None:
    suction, weight = EXPECTATIONS["suction-pressure"], EXPECTATIONS["cylinder-weight"]
    below = places(suction, SCALES["us", "gauge-pressure"])
    assert MINUS in below.ring("")
    assert MINUS not in below.ring("-")
    assert MINUS not in below.ring("1")
    assert MINUS not in places(weight, SCALES["us", "mass"]).ring("")
    assert below.value("-012") == -12


@pytest.mark.parametrize("key", SCALES)
def test_every_scale_makes_what_it_reads(key: tuple[str, str]) -> None:
    scale: Scale = SCALES[key]
    quantity = scale.make(12.0)
    si = next(
        getattr(quantity, name) for name in ("pa", "k", "kg") if hasattr(quantity, name)
    )
    assert Decimal(scale.read(si)) == pytest.approx(Decimal(12))

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    PressureDifference,
    Temperature,
    TemperatureDifference,
    Volume,
    parse_quantity,
    standard_atmosphere,
)

NUMBERS = st.floats(-1000, 1000)


@given(NUMBERS)
def test_units_invert(value: float) -> None:
    assert GaugePressure.from_psi(value).psi == pytest.approx(value)
    assert GaugePressure.from_bar(value).bar == pytest.approx(value)
    assert GaugePressure.from_kpa(value).kpa == pytest.approx(value)
    assert PressureDifference.from_psi(value).psi == pytest.approx(value)
    assert TemperatureDifference.from_f(value).f == pytest.approx(value)
    assert Mass.from_oz(value).oz == pytest.approx(value)
    assert Mass.from_lb(value).lb == pytest.approx(value)
    assert Length.from_ft(value).ft == pytest.approx(value)


@given(st.floats(-400, 1000))
def test_temperature_scales_agree(fahrenheit: float) -> None:
    made = Temperature.from_f(fahrenheit)
    assert made.f == pytest.approx(fahrenheit, abs=1e-9)
    assert Temperature.from_c(made.c).k == pytest.approx(made.k)


@given(st.floats(0, 600), st.floats(8, 16))
def test_gauge_and_absolute_differ_by_the_air(psig: float, air_psi: float) -> None:
    air = AbsolutePressure.from_psi(air_psi)
    absolute = GaugePressure.from_psi(psig).absolute(air)
    assert absolute.psi == pytest.approx(psig + air_psi)
    assert absolute.gauge(air).psi == pytest.approx(psig, abs=1e-9)


def test_a_gauge_cannot_read_below_vacuum() -> None:
    air = AbsolutePressure.from_psi(14.7)
    with pytest.raises(ValueError, match="below a perfect vacuum"):
        GaugePressure.from_psi(-15).absolute(air)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_refused(value: float) -> None:
    for make in (
        Temperature,
        TemperatureDifference,
        AbsolutePressure,
        GaugePressure,
        PressureDifference,
        Mass,
        Length,
        Volume,
    ):
        with pytest.raises(ValueError, match="finite"):
            make(value)


def test_differences_have_types_of_their_own() -> None:
    rise = GaugePressure.from_psi(131) - GaugePressure.from_psi(118)
    assert isinstance(rise, PressureDifference)
    assert rise.psi == pytest.approx(13)
    assert rise.kpa == pytest.approx(89.63, abs=0.01)
    assert (GaugePressure.from_psi(118) + rise).psi == pytest.approx(131)
    fall = AbsolutePressure.from_kpa(100) - AbsolutePressure.from_kpa(300)
    assert fall.kpa == pytest.approx(-200)
    warmer = Temperature.from_f(40) + TemperatureDifference.from_f(10)
    assert (warmer - Temperature.from_f(40)).f == pytest.approx(10)
    assert (Mass.from_lb(3) - Mass.from_lb(1) + Mass(0)).lb == pytest.approx(2)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("68psig", GaugePressure.from_psi(68)),
        ("4.7barg", GaugePressure.from_bar(4.7)),
        ("570kPa", AbsolutePressure.from_kpa(570)),
        ("43F", Temperature.from_f(43)),
        ("-6C", Temperature.from_c(-6)),
        ("5kg", Mass(5)),
        ("8oz", Mass.from_oz(8)),
        ("12L", Volume.from_litre(12)),
        ("5000ft", Length.from_ft(5000)),
    ],
)
def test_parsing(text: str, expected: object) -> None:
    assert parse_quantity(text) == expected


@pytest.mark.parametrize(
    ("text", "hint"),
    [("68", "no unit"), ("psig", "not a number"), ("68psi", "not known")],
)
def test_parsing_says_what_to_write(text: str, hint: str) -> None:
    with pytest.raises(ValueError, match=hint):
        parse_quantity(text)


def test_no_road_is_that_high() -> None:
    with pytest.raises(ValueError, match="outside"):
        standard_atmosphere(Length(9000))

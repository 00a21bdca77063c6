import pytest

from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.lookup_answer import LookupRefusal, LookupUsage
from companion.shell.lookup_arguments import (
    absolute_pressure,
    ambient,
    choice,
    difference,
    difference_or_none,
    fraction,
    gauge_pressure,
    length,
    mass,
    temperature,
    temperature_or_none,
    volume,
)

SEA = standard_atmosphere(Length(0))


def test_gauge_and_absolute_are_told_apart() -> None:
    assert absolute_pressure("--p", "68psig", SEA).kpa == pytest.approx(570.2, abs=0.1)
    assert absolute_pressure("--p", "570kPa", SEA).kpa == pytest.approx(570)
    assert gauge_pressure("--p", "101.325kPa", SEA).psi == pytest.approx(0, abs=1e-9)
    assert gauge_pressure("--p", "4.7barg", SEA).bar == pytest.approx(4.7)


def test_a_difference_is_no_temperature() -> None:
    assert difference("--n", "10F").f == pytest.approx(10)
    assert difference("--n", "10C").k == pytest.approx(10)
    assert difference("--n", "10K").k == pytest.approx(10)
    assert difference_or_none("--n", None) is None
    assert temperature("--t", "10F").f == pytest.approx(10)
    assert temperature_or_none("--t", None) is None


def test_altitude_lowers_the_air() -> None:
    assert ambient("5000ft").psi == pytest.approx(12.23, abs=0.01)
    assert ambient("0m") == SEA


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (lambda t: temperature("--x", t), "68psig"),
        (lambda t: difference("--x", t), "8oz"),
        (lambda t: absolute_pressure("--x", t, SEA), "55F"),
        (lambda t: gauge_pressure("--x", t, SEA), "55"),
        (lambda t: mass("--x", t), "40ft"),
        (lambda t: length("--x", t), "5kg"),
        (ambient, "20C"),
    ],
)
def test_the_wrong_kind_is_wrong_usage(read, text: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(LookupUsage, match=r"--x|--altitude"):
        read(text)


def test_below_vacuum_is_a_refusal() -> None:
    with pytest.raises(LookupRefusal, match="perfect vacuum") as caught:
        absolute_pressure("--suction", "-20psig", SEA)
    assert caught.value.json["refusal"]["kind"] == "below-vacuum"


@pytest.mark.parametrize("air", ["20kPa", "200kPa"])
def test_absurd_air_and_altitude_are_refused(air: str) -> None:
    with pytest.raises(LookupRefusal, match="--air"):
        ambient("0ft", air)
    for altitude in ("9000m", "-2000ft"):
        with pytest.raises(LookupRefusal, match="--altitude") as caught:
            ambient(altitude)
        assert caught.value.kind == "altitude"


def test_stated_air_stands_for_the_altitude() -> None:
    assert ambient("0ft", "84kPa").kpa == pytest.approx(84)


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (lambda t: absolute_pressure("--x", t, SEA), "-5psia"),
        (lambda t: temperature("--x", t), "-500F"),
        (lambda t: volume("--x", t), "-1L"),
        (lambda t: fraction("--x", t), "101%"),
        (lambda t: fraction("--x", t), "-0.01"),
    ],
)
def test_what_cannot_be_is_refused(read, text: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(LookupRefusal, match="--x"):
        read(text)


def test_shares_are_read_both_ways() -> None:
    assert fraction("--x", "30%") == pytest.approx(0.3)
    assert fraction("--x", "0.3") == pytest.approx(0.3)
    with pytest.raises(LookupUsage, match="--x takes a share"):
        fraction("--x", "some")


def test_vacuum_in_inches_of_mercury() -> None:
    assert absolute_pressure("--p", "10inHg", SEA).kpa == pytest.approx(67.46, abs=0.01)


def test_choices_are_closed() -> None:
    assert choice("--unit", "off", ("running", "off")) == "off"
    assert choice("--unit", None, ("running", "off")) is None
    with pytest.raises(LookupUsage, match="--unit takes one of running, off"):
        choice("--unit", "on", ("running", "off"))

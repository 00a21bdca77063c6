import pytest

from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.lookup_answer import (
    LookupRefusal,
    LookupUsage,
    absolute_pressure,
    ambient,
    choice,
    difference,
    difference_or_none,
    gauge_pressure,
    length,
    mass,
    temperature,
    temperature_or_none,
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
        (ambient, "9000m"),
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


def test_choices_are_closed() -> None:
    assert choice("--unit", "off", ("running", "off")) == "off"
    assert choice("--unit", None, ("running", "off")) is None
    with pytest.raises(LookupUsage, match="--unit takes one of running, off"):
        choice("--unit", "on", ("running", "off"))

from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.job.amounts import Amount, amount
from companion.job.expectations import EXPECTATIONS
from companion.shell.units import UNITS, System, Unit, number_in, unit_of
from speech import UNITS as HEARD

ALL = list(UNITS.values())


@pytest.mark.parametrize("unit", ALL, ids=lambda each: f"{each.kind}-{each.id}")
def test_there_and_back_is_the_same_number(unit: Unit) -> None:
    @given(st.floats(min_value=-10, max_value=5000))
    def inverts(value: float) -> None:
        made = amount(unit.make(value))
        assert made.of == unit.kind
        assert unit.read(made.si) == pytest.approx(value, abs=1e-6)

    inverts()


# Exact factors of NIST Special Publication 811 (2008), appendix B: psi from the exact
# pound, inch and standard gravity; avoirdupois ounce and pound.
PUBLISHED = [
    ("gauge-pressure", "psi", 1.0, 6894.757293168361),
    ("gauge-pressure", "bar", 1.0, 1e5),
    ("gauge-pressure", "kpa", 1.0, 1e3),
    ("temperature", "f", 32.0, 273.15),
    ("temperature", "f", -40.0, 233.15),
    ("temperature", "c", -40.0, 233.15),
    ("temperature-difference", "f", 9.0, 5.0),
    ("temperature-difference", "c", 5.0, 5.0),
    ("mass", "oz", 16.0, 0.45359237),
    ("mass", "lb", 1.0, 0.45359237),
    ("mass", "g", 1.0, 0.001),
    ("mass", "kg", 1.0, 1.0),
]


@pytest.mark.parametrize(("kind", "unit", "value", "si"), PUBLISHED)
def test_published_factors(kind: str, unit: str, value: float, si: float) -> None:
    """Only rounding of floating-point numbers is allowed for: the factors are exact."""
    assert amount(UNITS[kind, unit].make(value)).si == pytest.approx(si, rel=1e-12)


def test_every_unit_is_covered_above() -> None:
    assert set(UNITS) == {(kind, unit) for kind, unit, _, _ in PUBLISHED}


@pytest.mark.parametrize("system", get_args(System))
def test_whatever_is_asked_for_has_a_unit(system: System) -> None:
    for expected in EXPECTATIONS.values():
        if expected.of is not None:
            assert unit_of(expected.of, system).kind == expected.of


def test_the_hearing_side_knows_every_unit() -> None:
    assert {unit.id for unit in ALL} <= set(HEARD)


NUMBERS: list[tuple[str, str, float, str]] = [
    ("gauge-pressure", "psi", 120.0, "120"),
    ("gauge-pressure", "psi", 120.04, "120"),
    ("gauge-pressure", "psi", 120.06, "120.1"),
    ("gauge-pressure", "psi", -0.01, "0"),
    ("gauge-pressure", "psi", -5.0, "-5"),
    ("gauge-pressure", "kpa", 800.4, "800"),
    ("gauge-pressure", "kpa", 0.0, "0"),
    ("mass", "kg", 7.25, "7.25"),
    ("mass", "kg", 7.0, "7"),
    ("mass", "g", 1200.0, "1200"),
    ("temperature-difference", "f", 9.6, "10"),
    ("temperature-difference", "f", 100.0, "100"),
]


@pytest.mark.parametrize(("kind", "unit", "value", "text"), NUMBERS)
def test_a_number_is_rounded_to_what_is_worth_saying(
    kind: Any, unit: str, value: float, text: str
) -> None:
    chosen = UNITS[kind, unit]
    made = amount(chosen.make(value))
    assert number_in(Amount(of=kind, si=made.si), chosen) == text

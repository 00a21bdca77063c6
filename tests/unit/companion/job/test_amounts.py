import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.job.amounts import Amount, amount, quantity_of
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    Volume,
)

EACH_KIND = [
    (GaugePressure(-5000.0), "gauge-pressure", -5000.0),
    (AbsolutePressure(101325.0), "absolute-pressure", 101325.0),
    (Temperature(300.0), "temperature", 300.0),
    (TemperatureDifference(-2.5), "temperature-difference", -2.5),
    (Mass(1.25), "mass", 1.25),
    (Length(7.0), "length", 7.0),
    (Volume(0.02), "volume", 0.02),
]


@pytest.mark.parametrize(("quantity", "kind", "si"), EACH_KIND)
def test_a_quantity_is_remembered_with_its_kind(
    quantity: Quantity, kind: str, si: float
) -> None:
    kept = amount(quantity)
    assert kept == Amount(of=kind, si=si)
    assert kept.quantity == quantity
    assert type(kept.quantity) is type(quantity)


@given(st.floats(min_value=0, max_value=1e9), st.sampled_from(EACH_KIND))
def test_it_comes_back_as_it_was(si: float, kind: tuple[Quantity, str, float]) -> None:
    made = quantity_of(kind[1], si)
    assert amount(made) == Amount(of=kind[1], si=si)


@pytest.mark.parametrize("si", [math.nan, math.inf, -math.inf])
def test_what_is_no_finite_number_is_refused(si: float) -> None:
    with pytest.raises(ValueError, match="must be a finite number"):
        Amount(of="mass", si=si)


def test_a_gauge_pressure_is_not_an_absolute_one() -> None:
    assert amount(GaugePressure(1.0)) != amount(AbsolutePressure(1.0))

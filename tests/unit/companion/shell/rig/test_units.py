import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.quantities import (
    AbsolutePressure,
    Length,
    Mass,
    Temperature,
    standard_atmosphere,
)
from companion.shell.rig import units


@given(f=st.floats(-60, 300))
def test_temperatures_agree_with_the_quantities_and_come_back(f: float) -> None:
    assert units.k_from_f(f) == pytest.approx(Temperature.from_f(f).k)
    assert units.f_from_k(units.k_from_f(f)) == pytest.approx(f, abs=1e-9)


@given(pa=st.floats(0, 6e6))
def test_gauge_pressures_agree_with_the_quantities(pa: float) -> None:
    ambient = standard_atmosphere(Length(0.0))
    expected = AbsolutePressure(pa).gauge(ambient).psi
    assert units.psig_from_pa(pa) == pytest.approx(expected, abs=1e-9)


def test_an_ounce_and_a_foot_agree_with_the_quantities() -> None:
    assert Mass.from_oz(1).kg == pytest.approx(units.KG_PER_OZ)
    assert Length(1.0).ft == pytest.approx(units.FT_PER_M)

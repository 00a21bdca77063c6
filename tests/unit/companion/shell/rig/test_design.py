import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.shell.rig.design import (
    boiling_k,
    compression_work,
    driving_drop_pa,
    fill_share,
    gas_density,
)
from companion.shell.rig.tables import table_of

LOW = table_of("R-407C").at_p(5e5)


def test_a_blend_boils_between_bubble_and_dew_nearer_the_dew_point() -> None:
    middle = (LOW.t_bub_k + LOW.t_dew_k) / 2
    assert middle < boiling_k(LOW) < LOW.t_dew_k


@given(superheat_k=st.floats(0.1, 40.0))
def test_warmer_gas_is_thinner_and_takes_more_work(superheat_k: float) -> None:
    gas_k = LOW.t_dew_k + superheat_k
    assert gas_density(LOW, gas_k) < LOW.rho_v
    cold = compression_work(LOW, LOW.t_dew_k, 18e5)
    assert compression_work(LOW, gas_k, 18e5) > cold > 0


def test_superheated_density_follows_the_ideal_law_roughly() -> None:
    gas_k = LOW.t_dew_k + 10
    ideal = LOW.rho_v * LOW.t_dew_k / gas_k
    assert gas_density(LOW, gas_k) == pytest.approx(ideal, rel=0.02)


def test_compressing_to_the_same_pressure_takes_no_work() -> None:
    assert compression_work(LOW, LOW.t_dew_k, LOW.p_pa) == 0
    assert compression_work(LOW, LOW.t_dew_k, LOW.p_pa / 2) == 0


@given(ratio=st.floats(1.0, 60.0))
def test_fresh_gas_fills_less_as_the_ratio_grows(ratio: float) -> None:
    assert 0 <= fill_share(1e5, ratio * 1e5) < 1


def test_flashing_chokes_the_drop() -> None:
    assert driving_drop_pa(20e5, 5e5, 14e5) == 6e5
    assert driving_drop_pa(20e5, 16e5, 14e5) == 4e5
    assert driving_drop_pa(5e5, 20e5, 1e5) == 0

from dataclasses import asdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.shell.rig.traits import draw_traits


@given(seed=st.integers())
def test_the_same_seed_draws_the_same_traits(seed: int) -> None:
    first = draw_traits(seed, "R-22", thermostatic=True)
    assert first == draw_traits(seed, "R-22", thermostatic=True)
    assert all(value > 0 for value in asdict(first).values())
    assert 8 <= first.subcooling_f <= 12
    assert 45 <= first.coil_f <= 49


@pytest.mark.parametrize(("blend", "factor"), [("R-32", 0.78), ("R-454B", 0.88)])
def test_lighter_liquids_need_less(blend: str, factor: float) -> None:
    plain = draw_traits(3, "R-410A", thermostatic=False).charge_kg_per_ton
    lighter = draw_traits(3, blend, thermostatic=False).charge_kg_per_ton
    assert lighter == pytest.approx(factor * plain)

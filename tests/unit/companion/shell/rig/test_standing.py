from collections.abc import Callable

import pytest

from companion.shell.rig.cylinder import NO_FLOW, Flow
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.standing import Standing
from companion.shell.rig.units import k_from_f

AIR_K = k_from_f(95.0)


def test_a_charged_unit_stands_at_saturation_of_the_air(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    standing = Standing(design, design.charge_kg, AIR_K)
    assert standing.p_pa == design.table.at_bubble(AIR_K).p_pa


def test_an_empty_unit_stands_at_a_vacuum(make: Callable[..., RigSpec]) -> None:
    assert Standing(size(make()), 0.0, AIR_K).p_pa == 0.0


def test_thin_gas_follows_the_ideal_law_below_the_table(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    one = Standing(design, 0.005, AIR_K).p_pa
    two = Standing(design, 0.010, AIR_K).p_pa
    assert two == pytest.approx(2 * one, rel=1e-6)
    moles = 0.005 / 0.0726  # kg over the molar mass of R-410A [kg/mol]
    ideal = moles * 8.314 * AIR_K / Standing(design, 0.0, AIR_K).volume_m3
    assert one == pytest.approx(ideal, rel=0.03)


def test_pressure_rises_with_mass_up_to_saturation(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    found = [Standing(design, m / 100, AIR_K).p_pa for m in range(0, 300, 5)]
    assert found == sorted(found)
    assert found[-1] == found[-2]


def test_liquid_that_flashes_chills_the_unit_and_the_air_warms_it_again(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    standing = Standing(design, 0.0, AIR_K)
    liquid = Flow(0.03, True, design.table.at_bubble(AIR_K).h_l)
    for _ in range(300):
        standing.step(0.1, AIR_K, liquid)
    cold_k = standing.t_k
    assert cold_k < AIR_K - 3
    for _ in range(40_000):
        standing.step(0.1, AIR_K, NO_FLOW)
    assert standing.t_k == pytest.approx(AIR_K, abs=0.3)
    assert standing.mass_kg == pytest.approx(0.9)


def test_pressures_apart_meet(make: Callable[..., RigSpec]) -> None:
    design = size(make())
    standing = Standing(design, design.charge_kg, AIR_K, apart_pa=(9e5, 27e5))
    for _ in range(6000):
        standing.step(0.1, AIR_K, NO_FLOW)
    assert standing.low_pa == pytest.approx(standing.p_pa, rel=1e-3)
    assert standing.high_pa == pytest.approx(standing.p_pa, rel=1e-3)

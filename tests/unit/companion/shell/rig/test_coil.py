from collections.abc import Callable

import pytest

from companion.shell.rig.air import Surroundings
from companion.shell.rig.coil import Coil
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.units import k_from_f

AIR = Surroundings(outdoor_k=k_from_f(95), db_k=k_from_f(80), wb_k=k_from_f(67))


def _coil(make: Callable[..., RigSpec], flooded: float) -> Coil:
    design = size(make())
    low = design.table.at_middle(design.rating.coil_k)
    return Coil(
        design,
        liquid_kg=flooded * design.coil.full_kg,
        wall_k=design.coil.wall_k,
        out_k=low.t_dew_k + design.coil.superheat_k,
    )


@pytest.mark.parametrize("flooded", [0.0, 0.5, 1.3])
def test_liquid_in_is_liquid_boiled_spilled_or_kept(
    make: Callable[..., RigSpec], flooded: float
) -> None:
    coil = _coil(make, flooded)
    before = coil.liquid_kg
    low = coil._design.table.at_middle(coil._design.rating.coil_k)
    gone = coil.step(0.1, AIR, low, liquid_in_kg_s=0.04, flow_kg_s=0.05)
    kept = coil.liquid_kg - before
    left = 0.04 - gone.boiled_kg_s - gone.spilled_kg_s
    assert kept == pytest.approx(left * 0.1)
    assert (gone.spilled_kg_s > 0) == (flooded > 1)
    assert (gone.boiled_kg_s > 0) == (flooded > 0)


def test_a_dry_coil_lets_the_gas_warm_to_the_air(make: Callable[..., RigSpec]) -> None:
    coil = _coil(make, 0.0)
    low = coil._design.table.at_middle(coil._design.rating.coil_k)
    for _ in range(2000):
        coil.step(0.1, AIR, low, liquid_in_kg_s=0.0, flow_kg_s=0.02)
    assert coil.out_k == pytest.approx(AIR.db_k, abs=1.0)
    assert coil.liquid_kg == 0


def test_a_flooded_coil_gives_saturated_gas(make: Callable[..., RigSpec]) -> None:
    coil = _coil(make, 1.2)
    low = coil._design.table.at_middle(coil._design.rating.coil_k)
    for _ in range(1000):
        coil.liquid_kg = 1.2 * coil._design.coil.full_kg
        coil.step(0.1, AIR, low, liquid_in_kg_s=0.0, flow_kg_s=0.05)
    assert coil.out_k == pytest.approx(low.t_dew_k, abs=0.01)

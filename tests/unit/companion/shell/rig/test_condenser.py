from collections.abc import Callable

import pytest

from companion.shell.rig.air import Surroundings
from companion.shell.rig.condenser import Condenser
from companion.shell.rig.design import Design
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.units import k_from_f

AIR = Surroundings(outdoor_k=k_from_f(95), db_k=k_from_f(80), wb_k=k_from_f(67))


def _condenser(design: Design, share_of_nominal: float) -> Condenser:
    low = design.table.at_middle(design.rating.coil_k)
    nominal_kg = (
        design.charge_kg
        - design.coil.share * design.coil.full_kg
        - design.suction.vapor_m3 * low.rho_v
    )
    return Condenser(
        design,
        mass_kg=share_of_nominal * nominal_kg,
        t_k=design.rating.condensing_k,
        subcooling_k=design.rating.subcooling_k,
    )


def test_the_nominal_inventory_has_the_nominal_liquid_share(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    high = _condenser(design, 1.0).look(AIR)
    assert high.liquid_share == pytest.approx(
        design.condenser.subcooled_share, abs=0.01
    )
    assert high.vapor_quality == 0


def test_a_small_inventory_lets_vapor_into_the_liquid_line(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    high, short = (_condenser(design, share).look(AIR) for share in (1.0, 0.65))
    assert short.liquid_share == 0
    assert 0 < short.vapor_quality < 0.3
    assert short.feed_rho < high.feed_rho / 1.2
    assert short.feed_h > high.feed_h


def test_air_inside_adds_to_the_gauge_but_not_to_the_saturation(
    make: Callable[..., RigSpec],
) -> None:
    condenser = _condenser(size(make()), 1.0)
    foul = Surroundings(
        outdoor_k=AIR.outdoor_k, db_k=AIR.db_k, wb_k=AIR.wb_k, foreign_pa=1e5
    )
    clean, dirty = condenser.look(AIR), condenser.look(foul)
    assert dirty.p_pa == pytest.approx(clean.p_pa + 1e5)
    assert dirty.row == clean.row


def test_with_nothing_coming_in_it_cools_to_the_air(
    make: Callable[..., RigSpec],
) -> None:
    condenser = _condenser(size(make()), 1.0)
    before = condenser.mass_kg
    for _ in range(3000):
        condenser.step(
            0.1, AIR, condenser.look(AIR), in_kg_s=0.0, in_h=0.0, out_kg_s=0.0
        )
    assert condenser.t_k == pytest.approx(AIR.outdoor_k, abs=0.1)
    assert condenser.subcooling_k == pytest.approx(0.0, abs=0.1)
    assert condenser.mass_kg == before

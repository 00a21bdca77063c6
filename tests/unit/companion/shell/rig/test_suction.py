from collections.abc import Callable

import pytest

from companion.shell.rig.air import Surroundings
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.suction import Drawn, SuctionSide
from companion.shell.rig.units import k_from_f

AIR = Surroundings(outdoor_k=k_from_f(95), db_k=k_from_f(80), wb_k=k_from_f(67))


def _side(make: Callable[..., RigSpec]) -> SuctionSide:
    design = size(make())
    low = design.table.at_middle(design.rating.coil_k)
    return SuctionSide(
        design,
        vapor_kg=design.suction.vapor_m3 * low.rho_v,
        port_k=low.t_dew_k + design.rating.superheat_k,
    )


def _step(side: SuctionSide, *, vapor: float, liquid: float) -> Drawn:
    low = side.look()
    return side.step(
        0.1,
        AIR,
        low,
        27e5,
        vapor_in_kg_s=vapor,
        liquid_in_kg_s=liquid,
        out_k=side.port_k,
    )


def test_the_compressor_takes_the_nominal_flow(make: Callable[..., RigSpec]) -> None:
    side = _side(make)
    found = side.draw_kg_s(side.look(), side._design.table.at_middle(316.0).p_pa)
    assert found == pytest.approx(side._design.flow_kg_s, rel=0.03)


@pytest.mark.parametrize("liquid", [0.0, 0.01, 0.05])
def test_what_comes_in_is_kept_or_drawn(
    make: Callable[..., RigSpec], liquid: float
) -> None:
    side = _side(make)
    before, drawn = side.mass_kg, 0.0
    for _ in range(300):
        found = _step(side, vapor=0.05, liquid=liquid)
        drawn += 0.1 * (found.vapor_kg_s + found.wet_kg_s)
    assert side.mass_kg - before == pytest.approx(30 * (0.05 + liquid) - drawn)


def test_a_trickle_boils_and_a_gush_reaches_the_compressor(
    make: Callable[..., RigSpec],
) -> None:
    found = []
    for liquid in (0.0, 0.003, 0.05):
        side = _side(make)
        for _ in range(100):
            last = _step(side, vapor=0.05, liquid=liquid)
        found.append(last.wetness)
    assert found[0] == 0
    assert found[0] < found[1] < 0.03 < found[2] < 0.4


def test_liquid_left_in_the_oil_comes_out_over_minutes(
    make: Callable[..., RigSpec],
) -> None:
    side = _side(make)
    for _ in range(100):
        _step(side, vapor=0.05, liquid=0.05)
    soaked = side.oil_kg
    for _ in range(600):
        _step(side, vapor=0.055, liquid=0.0)
    assert side.stub_kg == 0
    assert 0.3 * soaked < side.oil_kg < 0.9 * soaked

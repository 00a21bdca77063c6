import pytest

from companion.shell.rig.cylinder import NO_FLOW, Cylinder, Flow, Hose
from companion.shell.rig.tables import table_of
from companion.shell.rig.units import f_from_k, k_from_f

SUCTION_PA = 9e5


def _cylinder(*, net_kg: float = 10.0, dip_tube: bool = False) -> Cylinder:
    return Cylinder(
        table_of("R-410A"),
        net_kg=net_kg,
        tare_kg=5.0,
        dip_tube=dip_tube,
        t_k=k_from_f(95.0),
    )


def test_wide_open_it_passes_some_65_g_a_second_of_liquid() -> None:
    flow = _cylinder().flow(1.0, SUCTION_PA, 0.1)
    assert flow.liquid
    assert flow.kg_s == pytest.approx(0.065, abs=0.002)


@pytest.mark.parametrize(
    ("dip_tube", "inverted", "liquid"),
    [
        (False, True, True),
        (False, False, False),
        (True, True, False),
        (True, False, True),
    ],
)
def test_what_comes_out_depends_on_dip_tube_and_position(
    dip_tube: bool, inverted: bool, liquid: bool
) -> None:
    cylinder = _cylinder(dip_tube=dip_tube)
    cylinder.inverted = inverted
    flow = cylinder.flow(0.5, SUCTION_PA, 0.1)
    assert flow.liquid is liquid
    assert flow.kg_s > 0


def test_vapor_flows_slower_than_liquid() -> None:
    cylinder = _cylinder()
    liquid = cylinder.flow(0.3, SUCTION_PA, 0.1).kg_s
    cylinder.inverted = False
    assert cylinder.flow(0.3, SUCTION_PA, 0.1).kg_s < liquid / 3


@pytest.mark.parametrize("opening", [0.0, 0.5])
def test_nothing_flows_through_a_shut_valve(opening: float) -> None:
    cylinder = _cylinder()
    cylinder.valve_open = opening == 0
    assert cylinder.flow(opening, SUCTION_PA, 0.1).kg_s == 0


def test_nothing_flows_back_from_a_unit_at_higher_pressure() -> None:
    assert _cylinder().flow(1.0, 4e6, 0.1).kg_s == 0


def test_drawing_vapor_chills_and_the_flow_fades() -> None:
    cylinder = _cylinder()
    cylinder.inverted = False
    first = cylinder.flow(1.0, SUCTION_PA, 0.1).kg_s
    for _ in range(6000):
        cylinder.step(0.1, cylinder.flow(1.0, SUCTION_PA, 0.1), k_from_f(95.0))
    assert f_from_k(cylinder.t_k) < 70
    assert cylinder.flow(1.0, SUCTION_PA, 0.1).kg_s < first / 2


def test_a_warm_bath_keeps_the_flow_up() -> None:
    flows = []
    for in_bath in (False, True):
        cylinder = _cylinder()
        cylinder.inverted, cylinder.in_bath = False, in_bath
        for _ in range(3000):
            cylinder.step(0.1, cylinder.flow(1.0, SUCTION_PA, 0.1), k_from_f(95.0))
        flows.append(cylinder.flow(1.0, SUCTION_PA, 0.1).kg_s)
    assert flows[1] > 1.3 * flows[0]


def test_it_empties_down_to_vapor_at_the_units_pressure() -> None:
    cylinder = _cylinder(net_kg=1.0)
    liquid_seen = set()
    for _ in range(6000):
        flow = cylinder.flow(1.0, SUCTION_PA, 0.1)
        liquid_seen.add(flow.liquid)
        cylinder.step(0.1, flow, k_from_f(95.0))
    assert liquid_seen == {True, False}
    assert 0 < cylinder.net_kg < 0.6
    assert cylinder.flow(1.0, SUCTION_PA, 0.1).kg_s < 1e-4


def test_the_hose_delivers_late_and_loses_nothing() -> None:
    hose, delivered = Hose(2.0), 0.0
    entering = Flow(0.02, True, 2.5e5)
    first = hose.step(0.1, entering).kg_s
    assert first < 0.002
    for i in range(1000):
        flow = entering if i < 100 else NO_FLOW
        delivered += hose.step(0.1, flow).kg_s * 0.1
    assert hose.kg == 0
    assert delivered == pytest.approx(0.02 * 10.1, abs=1e-9)

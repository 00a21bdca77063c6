from collections.abc import Callable

import pytest

from companion.shell.rig.air import Surroundings
from companion.shell.rig.circuit import circuit_at_start, circuit_near_rest
from companion.shell.rig.cylinder import NO_FLOW, Flow
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.standing import Standing
from companion.shell.rig.units import k_from_f


def _air() -> Surroundings:
    return Surroundings(outdoor_k=k_from_f(95), db_k=k_from_f(80), wb_k=k_from_f(67))


@pytest.mark.parametrize("charge", [0.6, 1.0, 1.2])
def test_a_new_circuit_holds_the_charge_and_keeps_it(
    make: Callable[..., RigSpec], charge: float
) -> None:
    design = size(make())
    kg = charge * design.charge_kg
    circuit = circuit_near_rest(design, kg, _air())
    assert circuit.mass_kg == pytest.approx(kg)
    for _ in range(1000):
        circuit.step(0.1, _air(), NO_FLOW)
    assert circuit.mass_kg == pytest.approx(kg, abs=1e-9)


def test_what_is_charged_is_what_it_gains(make: Callable[..., RigSpec]) -> None:
    design = size(make())
    circuit = circuit_near_rest(design, design.charge_kg, _air())
    for liquid in (True, False):
        before = circuit.mass_kg
        row = design.table.at_bubble(300.0)
        flow = Flow(0.02, liquid, row.h_l if liquid else row.h_v)
        for _ in range(100):
            circuit.step(0.1, _air(), flow)
        assert circuit.mass_kg - before == pytest.approx(0.2, abs=1e-9)


def test_a_circuit_about_to_start_holds_what_stood(
    make: Callable[..., RigSpec],
) -> None:
    design = size(make())
    standing = Standing(design, 0.9 * design.charge_kg, k_from_f(95))
    circuit = circuit_at_start(design, standing, _air())
    assert circuit.mass_kg == pytest.approx(standing.mass_kg)
    moment = circuit.step(0.0, _air(), NO_FLOW)
    assert moment.low.p_pa == pytest.approx(standing.p_pa, rel=0.01)
    assert moment.high.p_pa == pytest.approx(standing.p_pa, rel=0.01)

from collections.abc import Callable

import pytest

from companion.shell.rig.air import Surroundings
from companion.shell.rig.circuit import circuit_near_rest
from companion.shell.rig.metering import Metering
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.units import k_from_f


def _air(bottleneck: float = float("inf")) -> Surroundings:
    return Surroundings(
        outdoor_k=k_from_f(95),
        db_k=k_from_f(80),
        wb_k=k_from_f(67),
        bottleneck=bottleneck,
    )


@pytest.mark.parametrize("metering", ["fixed-orifice", "thermostatic"])
def test_it_passes_the_nominal_flow_at_the_rating_point(
    make: Callable[..., RigSpec], metering: str
) -> None:
    design = size(make(metering=metering))
    circuit = circuit_near_rest(design, design.charge_kg, _air())
    low, high = circuit.suction.look(), circuit.condenser.look(_air())
    flow = circuit.metering.flow_kg_s(high, low.p_pa, _air())
    assert flow == pytest.approx(design.flow_kg_s, rel=0.01)
    blocked = circuit.metering.flow_kg_s(high, low.p_pa, _air(0.5))
    assert 0.3 * flow < blocked < 0.5 * flow


def test_a_valve_opens_as_its_bulb_warms_and_an_orifice_does_not(
    make: Callable[..., RigSpec],
) -> None:
    found = {}
    for kind in ("fixed-orifice", "thermostatic"):
        design = size(make(metering=kind))
        metering = Metering(design, bulb_k=280.0)
        before = metering.stroke
        for _ in range(2000):
            metering.step(0.1, out_k=300.0, t_dew_k=280.0)
        found[kind] = (before, metering.stroke)
        for _ in range(2000):
            metering.step(0.1, out_k=280.0, t_dew_k=280.0)
        assert metering.stroke <= before
    assert found["thermostatic"][1] == pytest.approx(1.0, abs=0.01)
    assert found["fixed-orifice"][0] == found["fixed-orifice"][1]

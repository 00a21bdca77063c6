from collections.abc import Callable

import pytest

from companion.shell.rig.air import Surroundings
from companion.shell.rig.cylinder import NO_FLOW
from companion.shell.rig.plant import STEP_S, Plant
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.units import k_from_f


def _plant(make: Callable[..., RigSpec], charge: float) -> Plant:
    design = size(make())
    air = Surroundings(outdoor_k=k_from_f(95), db_k=k_from_f(80), wb_k=k_from_f(67))
    return Plant(design, air, charge * design.charge_kg)


def test_starting_twice_and_stopping_twice_are_once(
    make: Callable[..., RigSpec],
) -> None:
    plant = _plant(make, 0.9)
    plant.stop()
    assert plant.running is None
    plant.start()
    first = plant.running
    plant.start()
    assert plant.running is first is not None
    plant.stop()
    standing = plant.standing
    plant.stop()
    assert plant.standing is standing


def test_a_trip_keeps_the_charge_and_a_restart_clears_it(
    make: Callable[..., RigSpec],
) -> None:
    plant = _plant(make, 1.0)
    plant.run_in()
    plant.air.outdoor_fan = 0.0
    for _ in range(6000):
        plant.step(STEP_S, NO_FLOW)
    assert plant.trip == "high-pressure"
    assert plant.charge_kg == pytest.approx(plant.design.charge_kg)
    plant.air.outdoor_fan = 1.0
    plant.start()
    for _ in range(3000):
        plant.step(STEP_S, NO_FLOW)
    assert plant.trip == "none"
    assert plant.running is not None


def test_more_charge_cools_the_house_and_a_rest_leaves_it_alone(
    make: Callable[..., RigSpec],
) -> None:
    plant = _plant(make, 0.7)
    plant.run_in()
    at_rest_k = plant.air.db_k
    assert plant.running is not None
    plant.running.circuit.condenser.mass_kg += 0.2 * plant.design.charge_kg
    for _ in range(6000):
        plant.step(STEP_S, NO_FLOW)
    assert at_rest_k - 1.0 < plant.air.db_k < at_rest_k - 0.02

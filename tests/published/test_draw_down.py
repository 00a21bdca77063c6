"""Draw-down and cylinder fill against what others print."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.coolprop_properties import CoolPropEquilibrium
from companion.knowledge.cylinder import largest_fill_kg, liquid_full_k
from companion.knowledge.draw_down import DrawDown, draw_down
from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import mass_percent, mole_fractions
from companion.knowledge.fixed_volume import Filling
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import KG_PER_LB, Temperature
from companion.shell.knowledge_files import read_knowledge

pytestmark = pytest.mark.slow
PRINTED = tomllib.loads(
    Path(__file__).with_name("draw_down.toml").read_text(encoding="utf-8")
)
Open = Callable[[str], tuple[CoolPropEquilibrium, Refrigerant]]


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


@pytest.fixture(scope="module")
def opened(knowledge: Knowledge) -> Open:
    def find(designation: str) -> tuple[CoolPropEquilibrium, Refrigerant]:
        found = knowledge.catalogue.get(designation)
        assert isinstance(found, Refrigerant)
        return CoolPropEquilibrium(designation, list(found.mass_pct)), found

    return find


def _filling(
    found: Refrigerant, kg: float, m3: float = 0.01, celsius: float = 25
) -> Filling:
    return Filling(
        components=tuple(found.mass_pct),
        mass_pct=tuple(found.mass_pct.values()),
        mass_kg=kg,
        volume_m3=m3,
        t_k=celsius + 273.15,
    )


def _drawn(
    opened: Open, draw: Draw, until: float, celsius: float = 25
) -> tuple[DrawDown, Filling]:
    equilibrium, found = opened("R-407C")
    filling = _filling(found, 9.0, celsius=celsius)
    drawn = draw_down(equilibrium, filling, draw, until)
    assert isinstance(drawn, DrawDown)
    return drawn, filling


def test_vapor_over_liquid(opened: Open) -> None:
    case = PRINTED["vapor_over_r407c"]
    equilibrium, _ = opened("R-407C")
    liquid = mole_fractions(case["liquid"], equilibrium.molar_masses)
    for celsius in case["temperature_c"]:
        state = equilibrium.saturated(0, liquid, celsius + 273.15)
        vapor = mass_percent(state.vapor, equilibrium.molar_masses)
        assert vapor == pytest.approx(case["vapor"], abs=case["tolerance_pct"])


@pytest.mark.parametrize(("draw", "way"), [("vapor", -1), ("liquid", 1)])
def test_which_way_a_leak_drifts(opened: Open, draw: Draw, way: int) -> None:
    drawn, filling = _drawn(opened, draw, 0.9)
    first, last = drawn.points[0], drawn.end
    assert first.left_liquid is not None
    assert last.left_liquid is not None
    assert first.left_vapor is not None
    assert last.left_vapor is not None
    assert last.left is not None
    assert last.left_liquid[0] < first.left_liquid[0], PRINTED["isothermal_leak"]
    assert last.left_vapor[0] < first.left_vapor[0]
    assert way * (last.left[0] - filling.mass_pct[0]) > 0


def test_the_drift_of_a_liquid_transfer_grows_with_warmth(opened: Open) -> None:
    drifts = []
    for celsius in (10, 25, 40):
        drawn, filling = _drawn(opened, "liquid", 0.9, celsius)
        wet = [p.left_liquid[2] for p in drawn.points if p.left_liquid is not None]
        assert wet == sorted(wet), PRINTED["liquid_transfer"]
        drifts.append(wet[-1] - filling.mass_pct[2])
    assert drifts == sorted(drifts)
    assert drifts[0] > 0


def test_the_largest_fill_of_r22(knowledge: Knowledge, opened: Open) -> None:
    case = PRINTED["largest_fill"]
    water_kg = case["water_capacity_lb"] * KG_PER_LB
    equilibrium, found = opened("R-22")
    filling = _filling(found, 1.0, water_kg / knowledge.handling.water_density)
    net_lb = largest_fill_kg(equilibrium, filling, knowledge.handling) / KG_PER_LB
    assert net_lb == pytest.approx(case["net_lb"], rel=case["tolerance_pct"] / 100)


@pytest.mark.parametrize("name", PRINTED["filling_density"]["percent"])
def test_filling_densities_keep_the_liquid_from_filling(
    knowledge: Knowledge, opened: Open, name: str
) -> None:
    case = PRINTED["filling_density"]
    equilibrium, found = opened(name)
    water_kg = 0.01 * knowledge.handling.water_density
    filling = _filling(found, case["percent"][name] / 100 * water_kg)
    full_k = liquid_full_k(equilibrium, filling)
    assert full_k is not None
    limit_k = Temperature.from_f(case["temperature_f"]).k
    assert limit_k < full_k < limit_k + case["tolerance_k"]

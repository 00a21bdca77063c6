"""Cylinder, leak and shift on real blends, with the shipped pairs."""

from collections.abc import Callable

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.coolprop_properties import CoolPropEquilibrium, apply_remedies
from companion.knowledge.cylinder import CylinderState, cylinder_state
from companion.knowledge.drawing import Draw
from companion.knowledge.fixed_volume import Filling, LiquidFull
from companion.knowledge.leak import LeakOutcome, leak
from companion.knowledge.loading import Knowledge
from companion.knowledge.mixture_pairs import read_pair_remedies
from companion.knowledge.quantities import Temperature
from companion.knowledge.working_shift import WorkingPoint, working_shift
from companion.shell.knowledge_files import read_data_file

pytestmark = pytest.mark.slow
Find = Callable[[str], Refrigerant]


@pytest.fixture(scope="module", autouse=True)
def _pairs(knowledge: Knowledge) -> None:
    pairs = read_pair_remedies(read_data_file("mixture_pairs.toml"), knowledge.sources)
    assert isinstance(pairs, list)
    apply_remedies(pairs)


def _filling(found: Refrigerant, mass_kg: float, celsius: float = 25) -> Filling:
    return Filling(
        components=tuple(found.mass_pct),
        mass_pct=tuple(found.mass_pct.values()),
        mass_kg=mass_kg,
        volume_m3=0.012,
        t_k=celsius + 273.15,
    )


def _open(found: Refrigerant) -> CoolPropEquilibrium:
    return CoolPropEquilibrium(found.designation, list(found.mass_pct))


def _cylinder(knowledge: Knowledge, found: Refrigerant, kg: float) -> CylinderState:
    state = cylinder_state(_open(found), _filling(found, kg), knowledge.handling)
    assert isinstance(state, CylinderState)
    return state


def test_a_cylinder_of_r407c(knowledge: Knowledge, refrigerant: Find) -> None:
    state = _cylinder(knowledge, refrigerant("R-407C"), 5.0)
    # 4.614 kg by another solver of the same model.
    assert state.liquid_kg == pytest.approx(4.614, abs=0.001)
    assert state.liquid_kg + state.vapor_kg == pytest.approx(5)
    assert 4 < state.draw_as_liquid_kg < state.liquid_kg
    assert not state.overfilled
    assert state.full_now_k is None


@pytest.mark.parametrize(
    ("name", "kg_per_l", "full_c"),
    [
        ("R-22", 0.953, 72.5),
        ("R-134a", 0.965, 74.8),
        ("R-410A", 0.847, 57.0),
        ("R-407C", 0.910, 66.0),
        ("R-404A", 0.835, 57.7),
        ("R-454B", 0.789, 60.6),
        ("R-290", 0.394, 74.0),
    ],
)
def test_the_fill_rule(
    knowledge: Knowledge, refrigerant: Find, name: str, kg_per_l: float, full_c: float
) -> None:
    state = _cylinder(knowledge, refrigerant(name), 4.0)
    assert state.largest_fill_kg / 12 == pytest.approx(kg_per_l, abs=0.001)
    assert state.full_at_rule_k is not None
    assert state.full_at_rule_k - 273.15 == pytest.approx(full_c, abs=0.5)


def test_every_fill_by_the_rule_stays_off_liquid_full(knowledge: Knowledge) -> None:
    """49 CFR 173.304(b): not full of liquid at or below 131 F."""
    for found in knowledge.catalogue.refrigerants[::3]:  # each third, for its time
        if found.designation == "R-508B":
            continue  # critical at 11 degC
        state = _cylinder(knowledge, found, 1.0)
        assert state.full_at_rule_k is not None, found.designation
        assert state.full_at_rule_k > knowledge.handling.not_liquid_full.k
        assert state.full_at_rule_k > knowledge.handling.cylinder_hottest.k + 5


def test_too_much_is_overfilled_or_does_not_fit(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found = refrigerant("R-410A")
    state = _cylinder(knowledge, found, 11.5)
    assert state.overfilled
    assert state.full_now_k is not None
    assert state.full_now_k < knowledge.handling.not_liquid_full.k
    equilibrium, filling = _open(found), _filling(found, 13.0)
    assert isinstance(
        cylinder_state(equilibrium, filling, knowledge.handling), LiquidFull
    )


@pytest.mark.parametrize(
    ("name", "lost", "what", "advice"),
    [
        ("R-407C", 0.1, "vapor", "top-up"),
        ("R-407C", 0.3, "vapor", "recover"),
        ("R-407C", 0.3, "liquid", "top-up"),
        ("R-410A", 0.6, "vapor", "top-up"),
        ("R-458A", 0.3, "vapor", "recover"),
        ("R-22", 0.9, "vapor", "top-up"),
    ],
)
def test_leaks(
    knowledge: Knowledge,
    refrigerant: Find,
    name: str,
    lost: float,
    what: Draw,
    advice: str,
) -> None:
    found = refrigerant(name)
    outcome = leak(_open(found), _filling(found, 3.0), lost, what, knowledge.handling)
    assert isinstance(outcome, LeakOutcome)
    assert outcome.advice == advice
    assert advice.replace("-", " ") in outcome.reason
    assert sum(outcome.left) == pytest.approx(100)
    # A top-up with fresh blend always brings the make-up nearer to the label.
    label = tuple(found.mass_pct.values())
    rows = zip(label, outcome.left, outcome.after_top_up, strict=True)
    assert all(abs(a - want) <= abs(b - want) + 1e-9 for want, b, a in rows)


def test_a_circuit_down_to_the_air_is_recovered(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found = refrigerant("R-22")
    outcome = leak(_open(found), _filling(found, 3), 0.99, "vapor", knowledge.handling)
    assert isinstance(outcome, LeakOutcome)
    assert outcome.advice == "recover"
    assert "air may have entered" in outcome.reason
    with pytest.raises(ValueError, match="outside 0 to less than 1"):
        leak(_open(found), _filling(found, 3), 1.0, "vapor", knowledge.handling)


def test_working_points_above_critical_give_no_shift(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found = refrigerant("R-508B")
    label = tuple(found.mass_pct.values())
    point = knowledge.handling.working_point
    assert working_shift(_open(found), label, (50, 50), point) is None


def test_an_unchanged_make_up_shifts_nothing(refrigerant: Find) -> None:
    found = refrigerant("R-407C")
    label = tuple(found.mass_pct.values())
    point = WorkingPoint(
        suction_dew=Temperature.from_f(40), liquid_bubble=Temperature.from_f(110)
    )
    none = working_shift(_open(found), label, label, point)
    assert none is not None
    assert none.largest.k < 1e-6
    poorer = working_shift(_open(found), label, (20, 23, 57), point)
    assert poorer is not None
    # Less of the volatile parts: it boils warmer at the same pressure.
    assert 1 < poorer.dew.k < 3
    assert 1 < poorer.bubble.k < 3

from collections.abc import Callable

import pytest

from companion.shell.rig.errors import RigError
from companion.shell.rig.rig import Rig
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.tables import REFRIGERANTS


@pytest.mark.parametrize("metering", ["fixed-orifice", "thermostatic"])
@pytest.mark.parametrize("refrigerant", REFRIGERANTS)
def test_the_right_charge_rests_at_the_rating_point(
    make: Callable[..., RigSpec], refrigerant: str, metering: str
) -> None:
    spec = make(refrigerant=refrigerant, metering=metering, charge_fraction=1.0)
    rating = size(spec).rating
    truth = Rig(spec).truth()
    assert truth.superheat_f == pytest.approx(rating.superheat_k * 1.8, abs=0.05)
    assert truth.subcooling_f == pytest.approx(rating.subcooling_k * 1.8, abs=0.05)
    assert truth.cooling_w == pytest.approx(3 * 3516.85, rel=0.002)


@pytest.mark.parametrize("tons", [1.5, 5.0])
@pytest.mark.parametrize("seed", range(6))
def test_sizes_are_those_of_split_units(
    make: Callable[..., RigSpec], tons: float, seed: int
) -> None:
    design = size(make(tons=tons, seed=seed))
    assert 0.9 <= design.charge_kg / tons <= 1.4
    assert 0.015 < design.flow_kg_s / tons < 0.025
    litres_per_ton = design.condenser.tubes_m3 / tons * 1000
    assert 0.8 < litres_per_ton < 2.5
    assert 0.5 < design.coil.share < 1


@pytest.mark.parametrize(
    ("outdoor_f", "wet_bulb_f", "target_f"),
    [(95, 67, 12), (75, 62, 15), (85, 72, 26), (105, 72, 17), (100, 64, 8)],
)
def test_a_superheat_can_be_asked_for_in_the_units_own_weather(
    make: Callable[..., RigSpec],
    outdoor_f: float,
    wet_bulb_f: float,
    target_f: float,
) -> None:
    spec = make(
        charge_fraction=1.0,
        outdoor_f=outdoor_f,
        return_wb_f=wet_bulb_f,
        return_db_f=wet_bulb_f + 13,
        superheat_at_full_f=target_f,
    )
    assert Rig(spec).truth().superheat_f == pytest.approx(target_f, abs=0.05)


@pytest.mark.parametrize("target_f", [4.0, 10.0, 16.0])
def test_a_subcooling_can_be_asked_for_in_the_units_own_weather(
    make: Callable[..., RigSpec], target_f: float
) -> None:
    spec = make(
        metering="thermostatic",
        charge_fraction=1.0,
        outdoor_f=82.0,
        subcooling_at_full_f=target_f,
    )
    rig = Rig(spec)
    assert rig.truth().subcooling_f == pytest.approx(target_f, abs=0.05)
    assert rig.nameplate.target_subcooling_f == pytest.approx(target_f)


def test_a_superheat_out_of_reach_is_refused_with_the_way_out(
    make: Callable[..., RigSpec],
) -> None:
    with pytest.raises(RigError, match="ask for less superheat"):
        size(make(superheat_at_full_f=40.0, return_db_f=68.0, return_wb_f=60.0))


def test_the_same_seed_is_the_same_unit_whatever_its_charge(
    make: Callable[..., RigSpec],
) -> None:
    full, short = size(make(charge_fraction=1.0)), size(make(charge_fraction=0.6))
    assert full == short
    assert size(make(seed=2)) != full

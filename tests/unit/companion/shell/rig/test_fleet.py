import pytest

from companion.shell.rig.chart import chart
from companion.shell.rig.errors import RigError
from companion.shell.rig.fleet import (
    LEAST_SUBCOOLING_F,
    LEAST_SUPERHEAT_F,
    random_spec,
)


@pytest.mark.parametrize("seed", range(8))
def test_every_unit_drawn_can_be_charged_by_its_readings(seed: int) -> None:
    spec = random_spec(seed)
    full = chart(spec)
    if spec.metering == "fixed-orifice":
        assert full.superheat_f >= LEAST_SUPERHEAT_F
    else:
        assert full.subcooling_f >= LEAST_SUBCOOLING_F
    assert spec.running
    assert 0.60 <= spec.charge_fraction <= 0.95
    assert spec.seed == seed


def test_the_same_seed_draws_the_same_unit() -> None:
    assert random_spec(11) == random_spec(11)
    assert random_spec(11) != random_spec(12)


def test_fixed_fields_are_held() -> None:
    spec = random_spec(3, refrigerant="R-454B", metering="thermostatic", tons=2.0)
    assert (spec.refrigerant, spec.metering, spec.tons) == (
        "R-454B",
        "thermostatic",
        2.0,
    )


def test_fields_no_unit_can_have_are_refused() -> None:
    with pytest.raises(RigError, match="tons"):
        random_spec(1, tons=50.0)
    with pytest.raises(RigError, match="no unit"):
        random_spec(
            1,
            superheat_at_full_f=40.0,
            return_wb_f=60.0,
            return_db_f=68.0,
        )

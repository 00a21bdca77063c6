from collections.abc import Callable

import pytest

from companion.shell.rig.errors import RigError
from companion.shell.rig.spec import RigSpec


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"tons": 0.5}, "tons is 0.5"),
        ({"outdoor_f": 150.0}, "outdoor_f"),
        ({"charge_fraction": 2.0}, "charge_fraction"),
        ({"refrigerant": "R-11"}, r"R-11.*R-22"),
        ({"metering": "capillary"}, "capillary"),
        ({"return_db_f": 70.0, "return_wb_f": 70.0}, "below return_db_f"),
        ({"charge_fraction": 0.2}, "0.5 or more"),
        ({"superheat_at_full_f": 60.0}, "superheat_at_full_f is 60"),
        ({"slow": 0.0}, "slow"),
    ],
)
def test_what_the_rig_cannot_be_is_refused(
    make: Callable[..., RigSpec], changes: dict[str, object], message: str
) -> None:
    with pytest.raises(RigError, match=message):
        make(**changes)


def test_every_fault_is_named_at_once(make: Callable[..., RigSpec]) -> None:
    with pytest.raises(RigError) as caught:
        make(tons=9.0, outdoor_f=10.0, refrigerant="R-11")
    for word in ("tons", "outdoor_f", "R-11"):
        assert word in str(caught.value)


def test_an_evacuated_unit_may_be_off(make: Callable[..., RigSpec]) -> None:
    assert make(charge_fraction=0.0, running=False).charge_fraction == 0.0

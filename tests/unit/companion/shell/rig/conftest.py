"""Builders for the rig's tests."""

from collections.abc import Callable
from typing import Any

import pytest

from companion.shell.rig.spec import RigSpec


def _make(**changes: Any) -> RigSpec:
    fields: dict[str, Any] = {
        "refrigerant": "R-410A",
        "metering": "fixed-orifice",
        "tons": 3.0,
        "charge_fraction": 0.85,
        "outdoor_f": 95.0,
        "return_db_f": 80.0,
        "return_wb_f": 67.0,
        "running": True,
        "cylinder_net_kg": 10.0,
        "cylinder_tare_kg": 5.0,
        "cylinder_dip_tube": False,
        "seed": 1,
    }
    return RigSpec(**(fields | changes))


@pytest.fixture
def make() -> Callable[..., RigSpec]:
    """A spec of a three-ton unit at the rating point, with changes."""
    return _make

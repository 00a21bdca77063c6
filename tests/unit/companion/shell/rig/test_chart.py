from collections.abc import Callable
from dataclasses import replace

import pytest

from companion.shell.rig.chart import (
    chart,
    chart_subcooling_f,
    chart_superheat_f,
    steady,
)
from companion.shell.rig.faults import IndoorAirLost
from companion.shell.rig.rig import Rig
from companion.shell.rig.spec import RigSpec


def test_the_chart_is_the_sound_full_units_own_rest(
    make: Callable[..., RigSpec],
) -> None:
    spec = make(charge_fraction=0.7, outdoor_f=85.0, faults=(IndoorAirLost(),))
    full = steady(Rig(replace(spec, charge_fraction=1.0, faults=())))
    assert chart_superheat_f(spec) == pytest.approx(full.superheat_f, abs=0.1)
    assert chart_subcooling_f(spec) == pytest.approx(full.subcooling_f, abs=0.1)


def test_superheat_targets_fall_as_it_gets_hotter_outdoors(
    make: Callable[..., RigSpec],
) -> None:
    found = [chart(make(outdoor_f=f)).superheat_f for f in (70, 85, 100)]
    assert found == sorted(found, reverse=True)


def test_superheat_targets_rise_with_moister_return_air(
    make: Callable[..., RigSpec],
) -> None:
    found = [chart(make(return_wb_f=wb)).superheat_f for wb in (63, 67, 71)]
    assert found == sorted(found)

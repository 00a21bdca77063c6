import datetime
from importlib.resources import files
from pathlib import Path

import pytest

from hardware.calibration import read_plan, read_plan_file
from hardware.ports import HardwareError
from hardware.transducers import PressureCalibration, ThermistorCalibration

WHOLE = """
bits = 10
supply_input = 6

[sensors.suction-pressure]
kind = "pressure"
input = 0
full_scale_psi = 200
band_percent = 0.5
offset_psi = 1.5
calibrated = 2026-05-01

[sensors.suction-line-temperature]
kind = "thermistor"
input = 2
points = [[0.0, 32650.0], [25.0, 10000.0], [60.0, 2488.0]]
contact_k = 1.1
calibrated = 2026-05-01

[sensors.outdoor-temperature]
kind = "digital"
id = "28-0123456789ab"
calibrated = 2024-01-01

[sensors.cylinder-weight]
kind = "scale"
port = "/dev/scale"
step_g = 5
calibrated = 2026-05-01
"""


def test_everything_in_a_file_reaches_the_plan() -> None:
    plan = read_plan(WHOLE)
    pressure, line = plan.channels
    assert (plan.bits, plan.supply_input) == (10, 6)
    assert pressure.name == "suction-pressure"
    assert pressure.calibration == PressureCalibration(
        full_scale_psi=200, offset_psi=1.5, band_share=0.005
    )
    assert isinstance(line.calibration, ThermistorCalibration)
    assert line.calibration.calibrated
    assert line.calibration.contact_k == 1.1
    assert line.calibration.celsius(10_000) == pytest.approx(25)
    assert [each.id for each in plan.probes] == ["28-0123456789ab"]
    assert plan.scale is not None
    assert plan.scale.step_kg == 0.005


def test_an_old_calibration_is_named() -> None:
    plan = read_plan(WHOLE)
    assert plan.overdue(datetime.date(2026, 6, 1)) == ("outdoor-temperature",)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('kind = "digital"', 'kind = "magic"', "magic"),
        ("offset_psi = 1.5", "ofset_psi = 1.5", "ofset_psi"),
        ("calibrated = 2026-05-01", "", "calibrated"),
        ("input = 2", "input = 0", "share a converter input"),
        ("input = 2", "input = 6", "input 6"),
        ("sensors.outdoor-temperature", "sensors.attic", "no reading is called attic"),
        (
            "sensors.outdoor-temperature",
            "sensors.liquid-pressure",
            "cannot be measured",
        ),
        ("step_g = 5", "pattern = '(?P<value'", "missing"),
        (
            "points = [[0.0, 32650.0]",
            "beta_k = 3950\npoints = [[0.0, 1.0]",
            "must fall",
        ),
        ("full_scale_psi = 200", "full_scale_psi = -1", "full scale"),
        ("[sensors.suction-pressure]", "[sensors", "sensors.toml"),
    ],
)
def test_what_cannot_be_used_is_named(old: str, new: str, message: str) -> None:
    assert old in WHOLE
    with pytest.raises(HardwareError, match=message):
        read_plan(WHOLE.replace(old, new, 1))


def test_a_missing_file_is_named_with_the_cure(tmp_path: Path) -> None:
    with pytest.raises(HardwareError, match="leave it out to work without sensors"):
        read_plan_file(tmp_path / "none.toml")


def test_the_wiring_pages_example_is_a_good_file() -> None:
    page = (files("hardware") / "WIRING.md").read_text(encoding="utf-8")
    example = page.split("```toml")[1].split("```")[0]
    plan = read_plan(example)
    assert set(plan.dates) >= {"suction-pressure", "liquid-pressure", "cylinder-weight"}

"""What the self-check says about sensors, model and clock."""

import datetime
from pathlib import Path

from companion.shell.model_files import LIST
from companion.shell.selfcheck import Item, check_all
from companion.shell.settings import Settings

TODAY = datetime.date(2026, 6, 1)
SENSORS = """
[sensors.suction-pressure]
kind = "pressure"
input = 0
full_scale_psi = 500
calibrated = 2025-01-01
"""


def item(name: str, settings: Settings) -> Item:
    return next(each for each in check_all(settings, TODAY) if each.name == name)


def test_sensors_are_read_and_old_calibrations_named(tmp_path: Path) -> None:
    path = tmp_path / "sensors.toml"
    path.write_text(SENSORS)
    found = item("sensors", Settings(board="simulated", sensors=str(path)))
    assert not found.ok
    assert "suction-pressure: the sensors' supply is 0.00 V" in found.message
    assert "suction-pressure is due for calibration" in found.message


def test_no_sensors_is_no_fault() -> None:
    found = item("sensors", Settings(board="simulated"))
    assert found == Item(
        name="sensors", ok=True, message="none set; readings are asked for"
    )


def test_a_damaged_model_is_named(tmp_path: Path) -> None:
    (tmp_path / LIST).write_text('{"am/a.bin": "0"}')
    found = item("model", Settings(board="simulated", model_folder=str(tmp_path)))
    assert not found.ok
    assert "damaged or missing: am/a.bin; unpack it again" in found.message

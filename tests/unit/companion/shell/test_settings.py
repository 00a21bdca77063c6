import os
from pathlib import Path

import pytest

from companion.shell.errors import CompanionError, SettingsError
from companion.shell.settings import FILE, Settings, read_settings


@pytest.fixture
def write(tmp_path: Path):
    def go(text: str | bytes) -> Path:
        path = tmp_path / FILE
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return go


def test_an_empty_file_gives_the_defaults(write) -> None:
    assert read_settings(write("")) == Settings()


def test_without_a_file_there_are_the_defaults(tmp_path: Path) -> None:
    before = Path.cwd()
    os.chdir(tmp_path)
    try:
        assert read_settings(None) == Settings()
        (tmp_path / FILE).write_text('units = "si"')
        assert read_settings(None).units == "si"
    finally:
        os.chdir(before)


def test_every_key_can_be_set(write) -> None:
    text = """
    technician = "7"
    units = "si"
    altitude = "1200ft"
    local_pressure = "84kPa"
    engine = "vosk"
    model_folder = "/models/small"
    microphone = "usb"
    speaker = "headset"
    rate = 180
    board = "real"
    sensors = "/etc/companion/sensors.toml"
    van = true
    folder = "/jobs"
    language = "es"
    voice = "es"
    pitch = 40
    verbosity = "brief"
    digits = "whole"
    say_units = false
    [technicians.ana]
    """
    found = read_settings(write(text))
    assert set(Settings.model_fields) == set(found.model_fields_set)
    assert (found.units, found.rate, found.board) == ("si", 180, "real")


@pytest.mark.parametrize(
    ("text", "kilopascals"),
    [
        ("", 101.325),
        ('altitude = "0ft"', 101.325),
        ('altitude = "1500m"', 84.56),
        ('altitude = "5000ft"', 84.31),
        ('altitude = "-100m"', 102.53),
        ('local_pressure = "84kPa"', 84.0),
        ('local_pressure = "12.2psia"', 84.12),
        ('altitude = "1500m"\nlocal_pressure = "90kPa"', 90.0),
    ],
)
def test_the_air_pressure_at_the_site(write, text: str, kilopascals: float) -> None:
    """U.S. Standard Atmosphere: 84.56 kPa at 1500 m, 84.31 at 5000 ft (1524 m); to
    the figures printed here, so within 0.03 kPa."""
    found = read_settings(write(text)).ambient
    assert found.pa / 1000 == pytest.approx(kilopascals, abs=0.03)


WRONG = [
    ("unit = 'si'", "the key unit is not known; did you mean units?"),
    ("colour = 1", "the key colour is not known; known: technician, units"),
    ("units = 'metric'", "units: Input should be 'us' or 'si'"),
    ("rate = 10", "rate: Input should be greater than or equal to 80"),
    ("rate = 1000", "rate: Input should be less than or equal to 300"),
    ("rate = '165'", "rate: Input should be a valid integer"),
    ("rate = true", "rate: Input should be a valid integer"),
    ("engine = 'other'", "engine: Input should be"),
    ("altitude = '1200'", "altitude:"),
    ("altitude = '20psig'", "altitude: is not a height"),
    ("altitude = '90000ft'", "altitude: an altitude of"),
    ("local_pressure = '68psig'", "local_pressure: is not an absolute pressure"),
    ("units = ", "not a TOML file"),
    (b"technician = '\xff\xfe'", "not a TOML file"),
]


@pytest.mark.parametrize(("text", "message"), WRONG)
def test_a_wrong_setting_is_named_with_its_cure(
    write, text: str | bytes, message: str
) -> None:
    path = write(text)
    with pytest.raises(SettingsError) as trouble:
        read_settings(path)
    assert message in str(trouble.value)
    assert str(path) in str(trouble.value)
    assert isinstance(trouble.value, CompanionError)
    assert isinstance(trouble.value, ValueError)


def test_all_faults_are_named_at_once(write) -> None:
    with pytest.raises(SettingsError) as trouble:
        read_settings(write("unit = 'si'\nrate = 1\nengine = 'x'"))
    for part in ("did you mean units?", "rate:", "engine:"):
        assert part in str(trouble.value)


@pytest.mark.parametrize("name", ["missing.toml", "."])
def test_a_file_that_cannot_be_read_is_said(tmp_path: Path, name: str) -> None:
    with pytest.raises(SettingsError, match="cannot be read"):
        read_settings(tmp_path / name)


def test_settings_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="frozen"):
        Settings().rate = 100


OWN = """
units = "us"
rate = 160
technician = "ana"

[technicians.ana]
language = "es"
units = "si"
rate = 140
pitch = 40
voice = "es-419+f3"
verbosity = "brief"
digits = "whole"
say_units = false

[technicians.7]
verbosity = "tones"
"""


def test_a_technicians_own_table_counts_first(write) -> None:
    found = read_settings(write(OWN))
    assert (found.technician, found.language, found.units) == ("ana", "es", "si")
    assert (found.rate, found.pitch, found.voice_name) == (140, 40, "es-419+f3")
    speaking = found.speaking
    assert (speaking.verbosity, speaking.digits, speaking.units) == (
        "brief",
        "whole",
        False,
    )


def test_another_technician_can_be_named(write) -> None:
    found = read_settings(write(OWN), "7")
    assert (found.technician, found.language, found.rate) == ("7", "en", 160)
    assert found.speaking.verbosity == "tones"
    assert found.voice_name == "en-us"
    with pytest.raises(
        SettingsError, match=r"no table \[technicians.9\]; there is: ana, 7"
    ):
        read_settings(write(OWN), "9")


def test_the_voice_follows_the_language(write) -> None:
    assert read_settings(write('language = "es"')).voice_name == "es-419"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ('language = "fr"', "language: Input should be 'en' or 'es'"),
        (
            "[technicians.ana]\nrat = 3",
            "technicians.ana.rat is not known; did you mean rate",
        ),
        ("[technicians.ana]\nrate = 3", "technicians.ana.rate: .*80"),
        ("pitch = 200", "pitch: .*100"),
        ('verbosity = "loud"', "verbosity"),
    ],
)
def test_faults_in_the_personal_settings_are_named(
    write, text: str, fault: str
) -> None:
    with pytest.raises(SettingsError, match=fault):
        read_settings(write(text))

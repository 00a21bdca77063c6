"""The set-up script, the service units and their rules, as far as a laptop can tell."""

import re
import shutil
import subprocess
from configparser import ConfigParser
from importlib.resources import files
from pathlib import Path

import pytest

from companion.shell.app import OFF_FILE, SUPPLY_GONE
from companion.shell.settings import read_settings

HERE = Path(str(files("hardware")))
SYSTEM = HERE / "system"
SCRIPT = HERE / "install.sh"
BASH = shutil.which("bash")
ANALYZE = shutil.which("systemd-analyze")
needs_bash = pytest.mark.skipif(BASH is None, reason="no bash here")
needs_systemd = pytest.mark.skipif(ANALYZE is None, reason="systemd is not installed")
UNITS = ("companion.service", "companion-off.service", "companion-off.path")
EXPOSURE = 1.0
"""The exposure the analyzer may find at most, of 10 (own limit)."""


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    assert BASH
    return subprocess.run(  # noqa: S603 - our own script
        [BASH, str(SCRIPT), *arguments], capture_output=True, text=True, check=False
    )


def unit(name: str = "companion.service") -> ConfigParser:
    parser = ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keep case
    parser.read_string((SYSTEM / name).read_text(encoding="utf-8"))
    return parser


@needs_bash
def test_a_dry_run_names_every_change_and_makes_none(tmp_path: Path) -> None:
    done = run("--dry-run", "--root", str(tmp_path / "system"))
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines[-1] == "Nothing was changed."
    assert "would change: /opt/companion/venv" in lines
    assert "would change: /etc/systemd/system/companion.service" in lines
    assert not (tmp_path / "system").exists()


@needs_bash
def test_a_second_run_changes_nothing(tmp_path: Path) -> None:
    first = run("--root", str(tmp_path), "--files-only")
    assert first.returncode == 0, first.stderr
    assert first.stdout.count("changed: ") == 7
    made = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    again = run("--root", str(tmp_path), "--files-only")
    assert again.stdout == "Nothing had to be changed.\n"
    assert made == {
        path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()
    }


@needs_bash
def test_what_was_changed_is_mended_but_settings_are_the_technicians(
    tmp_path: Path,
) -> None:
    run("--root", str(tmp_path), "--files-only")
    service = tmp_path / "etc/systemd/system/companion.service"
    settings = tmp_path / "etc/companion/companion.toml"
    service.write_text("broken")
    settings.write_text('units = "si"\n')
    again = run("--root", str(tmp_path), "--files-only")
    assert "changed: /etc/systemd/system/companion.service" in again.stdout
    assert again.stdout.count("changed: ") == 1
    assert service.read_text() == (SYSTEM / "companion.service").read_text()
    assert settings.read_text() == 'units = "si"\n'


@needs_bash
def test_an_unknown_argument_is_refused() -> None:
    done = run("--fast")
    assert done.returncode == 1
    assert done.stderr.startswith("install.sh: unknown argument --fast")


@needs_bash
def test_a_damaged_stick_is_refused(tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    (stick / "wheels").mkdir(parents=True)
    (stick / "wheels/field_companion-0.whl").write_text("not what it was")
    (stick / "SHA256SUMS").write_text("0" * 64 + "  wheels/field_companion-0.whl\n")
    done = run("--root", str(tmp_path / "system"), "--stick", str(stick))
    assert done.returncode == 1
    assert "the stick is damaged" in done.stderr


def test_the_service_starts_what_the_script_installs() -> None:
    service = unit()["Service"]
    program, command, *rest = service["ExecStart"].split()
    assert (command, rest[0]) == ("run", "--service")
    text = SCRIPT.read_text(encoding="utf-8")
    assert f"{Path(program).parents[1]}" in text
    assert rest[rest.index("--settings") + 1] in text


def test_the_shipped_settings_are_good_and_point_where_the_service_may_write() -> None:
    settings = read_settings(SYSTEM / "companion.toml")
    assert settings.board == "real"
    assert settings.folder.startswith(f"/var/lib/{unit()['Service']['StateDirectory']}")


def test_the_service_is_watched_started_again_and_left_off_without_supply() -> None:
    service = unit()["Service"]
    assert service["Type"] == "notify"
    assert int(service["WatchdogSec"]) <= 10
    assert service["Restart"] == "always"
    assert service["RestartPreventExitStatus"] == str(SUPPLY_GONE)
    assert unit()["Unit"]["StartLimitIntervalSec"] == "0"


def test_the_power_goes_off_where_the_program_asks_for_it() -> None:
    assert unit("companion-off.path")["Path"]["PathExists"] == str(OFF_FILE)
    assert unit()["Service"]["ReadWritePaths"] == f"-{OFF_FILE.parent}"
    assert str(OFF_FILE.parent) in (SYSTEM / "tmpfiles.conf").read_text()


def test_the_service_has_no_network_and_only_its_own_devices() -> None:
    service = unit()["Service"]
    assert service["PrivateNetwork"] == "yes"
    assert service["DevicePolicy"] == "closed"


def trial(folder: Path) -> list[str]:
    """Copy the units, with a program that is there in place of ours."""
    paths = []
    for name in UNITS:
        text = (SYSTEM / name).read_text(encoding="utf-8")
        text = re.sub(r"(?m)^ExecStart=\S+.*$", "ExecStart=/bin/true", text)
        (folder / name).write_text(text)
        paths.append(str(folder / name))
    return paths


@needs_systemd
def test_the_service_manager_finds_no_fault_in_the_units(tmp_path: Path) -> None:
    assert ANALYZE
    done = subprocess.run(  # noqa: S603 - our own command
        [ANALYZE, "verify", "--man=no", *trial(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


@needs_systemd
@pytest.mark.parametrize("name", UNITS[:2])
def test_the_units_are_hardly_exposed(tmp_path: Path, name: str) -> None:
    assert ANALYZE
    trial(tmp_path)
    done = subprocess.run(  # noqa: S603 - our own command
        [ANALYZE, "security", "--offline=yes", "--no-pager", str(tmp_path / name)],
        capture_output=True,
        text=True,
        check=False,
    )
    found = re.search(r"exposure level for \S+: ([\d.]+)", done.stdout)
    assert found, done.stdout + done.stderr
    assert float(found.group(1)) <= EXPOSURE

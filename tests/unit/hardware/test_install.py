"""The set-up script and the service unit, as far as a laptop can tell."""

import shutil
import subprocess
from configparser import ConfigParser
from importlib.resources import files
from pathlib import Path

import pytest

HERE = Path(str(files("hardware")))
SCRIPT = HERE / "install.sh"
BASH = shutil.which("bash")


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    assert BASH
    return subprocess.run(  # noqa: S603 - our own script
        [BASH, str(SCRIPT), *arguments], capture_output=True, text=True, check=False
    )


def unit() -> ConfigParser:
    parser = ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keep case
    parser.read_string((HERE / "companion.service").read_text(encoding="utf-8"))
    return parser


@pytest.mark.skipif(BASH is None, reason="no bash here")
def test_a_dry_run_prints_every_step_and_does_none() -> None:
    done = run("--dry-run")
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert lines[-1] == "Nothing was changed."
    assert any("venv --system-site-packages /opt/companion/venv" in x for x in lines)
    assert any("systemctl enable companion.service" in x for x in lines)
    assert all(x.startswith(("would run: ", "raspi-config")) for x in lines[:-1])


@pytest.mark.skipif(BASH is None, reason="no bash here")
def test_an_unknown_argument_is_refused() -> None:
    done = run("--fast")
    assert done.returncode == 1
    assert done.stderr == (
        "install.sh: unknown argument --fast; the only one is --dry-run\n"
    )


def test_the_service_starts_what_the_script_installs() -> None:
    service = unit()["Service"]
    program, command = service["ExecStart"].split()
    assert command == "run"
    assert f"target={Path(program).parents[1]}\n" in SCRIPT.read_text(encoding="utf-8")


def test_the_service_promises_no_sign_of_life_that_the_program_does_not_give() -> None:
    service = unit()["Service"]
    assert service["Type"] == "simple"
    assert "WatchdogSec" not in service


def test_the_service_has_no_network_and_only_its_own_devices() -> None:
    service = unit()["Service"]
    assert service["PrivateNetwork"] == "yes"
    assert service["DevicePolicy"] == "closed"

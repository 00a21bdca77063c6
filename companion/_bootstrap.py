"""First run from a clone: make ``.venv`` beside pyproject.toml, start again inside it.

Standard library only, and no newer syntax than the oldest python3 that may meet it. It
acts only where a needed package is missing and the code runs from a source folder; an
installed copy never comes here.
"""

import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CONSTRAINTS = ROOT / "hardware" / "constraints.txt"
MARK = "COMPANION_BOOTSTRAPPED"
NEEDED = (
    "CoolProp",
    "espeakng_loader",
    "gpiozero",
    "jinja2",
    "matplotlib",
    "numpy",
    "pocketsphinx",
    "pydantic",
    "pyttsx3",
    "vosk",
)
"""Modules that the main job imports."""


def ensure(modules: "tuple[str, ...]", extra: str = "") -> None:
    """Return if every module can be found; else build ``.venv`` and start again there.

    Raises
    ------
    SystemExit
        If that cannot be done; the message says what is missing and the cure.
    """
    if not (3, 11) <= sys.version_info[:2] <= (3, 13):
        found = ".".join(str(part) for part in sys.version_info[:2])
        raise SystemExit(
            f"This is Python {found}; the companion needs 3.11, 3.12 or 3.13. On Debian "
            "12 or later and Raspberry Pi OS bookworm or later python3 is one of them."
        )
    missing = [name for name in modules if importlib.util.find_spec(name) is None]
    if not missing:
        return
    if not (ROOT / "pyproject.toml").is_file():
        raise SystemExit(f"Missing packages: {', '.join(missing)}. Install it again.")
    if os.environ.get(MARK):
        raise SystemExit(
            f"The set-up finished, but {', '.join(missing)} cannot be found. Remove "
            f"{ROOT / '.venv'} and run the same command again."
        )
    python = ROOT / ".venv" / "bin" / "python"
    stamp = ROOT / ".venv" / f"ready-{extra or 'base'}"
    wanted = _fingerprint()
    if not (python.exists() and stamp.is_file() and stamp.read_text() == wanted):
        _build(python, extra)
        stamp.write_text(wanted)
    _restart(python)


def _fingerprint() -> str:
    content = (ROOT / "pyproject.toml").read_bytes() + CONSTRAINTS.read_bytes()
    return hashlib.sha256(content + sys.version.encode()).hexdigest()


def _build(python: Path, extra: str) -> None:
    if not _can_make_environments():
        raise SystemExit(
            "Python's venv module is not complete here. Run this, then the same command "
            "again:\n  sudo apt install python3-venv"
        )
    folder = ROOT / ".venv"
    if not python.exists():
        _say(f"First run: making {folder} (about 350 MB; needs the internet this once)")
        command = [sys.executable, "-m", "venv", str(folder)]
        if _has_system_gpio():
            command.insert(3, "--system-site-packages")
        if subprocess.run(command, check=False).returncode:  # noqa: S603 - own command
            shutil.rmtree(folder, ignore_errors=True)
            raise SystemExit(
                f"{folder} could not be made; the lines above say why. Free space, or "
                "run: sudo apt install python3-venv"
            )
    spec = f"{ROOT}[{extra}]" if extra else str(ROOT)
    command = [str(python), "-m", "pip", "install", "--quiet", "--prefer-binary"]
    command += ["--disable-pip-version-check", "-c", str(CONSTRAINTS), "-e", spec]
    _say("Fetching packages ...")
    if subprocess.run(command, check=False).returncode:  # noqa: S603 - own command
        raise SystemExit(
            "The packages could not be fetched; the lines above say why. With a stick of "
            "wheels: PIP_NO_INDEX=1 PIP_FIND_LINKS=/media/usb/wheels and the same command."
        )


def _can_make_environments() -> bool:
    return all(importlib.util.find_spec(name) for name in ("venv", "ensurepip"))


def _restart(python: Path) -> None:
    os.environ[MARK] = "1"
    spec = sys.modules["__main__"].__spec__
    name = "companion" if spec is None else spec.name.removesuffix(".__main__")
    command = [str(python), "-m", name, *sys.argv[1:]]
    os.execv(python, command)  # noqa: S606 - our own interpreter, same arguments


def _has_system_gpio() -> bool:
    """Tell whether the system has lgpio, which PyPI lacks for Python 3.13."""
    return any(Path("/usr/lib/python3/dist-packages").glob("lgpio*"))


def _say(line: str) -> None:
    sys.stderr.write(line + "\n")
    sys.stderr.flush()

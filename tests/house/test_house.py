"""The house's own promises: import contracts, package names, documented commands."""

import importlib.metadata
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from companion.cli import build_parser

ROOT = Path(__file__).resolve().parents[2]
OURS = ("companion", "speech", "checklists", "hardware")
TOP_LEVEL = {
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
    "companion",
    "speech",
    "checklists",
    "tests",
    "hardware",
}


def commands() -> list[str]:
    """Every command of the command line."""
    actions = build_parser()._subparsers._group_actions  # type: ignore[union-attr]
    return sorted(actions[0].choices)  # type: ignore[arg-type,call-overload]


def test_every_command_is_in_the_readme() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    missing = [name for name in commands() if f"companion {name}" not in text]
    assert missing == []


def test_every_command_in_the_readme_exists() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"python3? -m companion ([a-z]+)", text))
    assert named
    assert named <= set(commands())


def test_the_top_level_holds_nothing_else() -> None:
    git = shutil.which("git")
    if git is None or not (ROOT / ".git").exists():
        pytest.skip("not a checkout")
    listed = subprocess.run(  # noqa: S603 - our own command
        [git, "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    top = {line.split("/")[0] for line in listed}
    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL


@pytest.mark.parametrize("package", OURS)
def test_our_package_names_are_ours_alone(package: str) -> None:
    owners = set(importlib.metadata.packages_distributions().get(package, []))
    assert owners <= {"field-companion"}


@pytest.mark.parametrize(
    ("module", "heavy"),
    [
        ("companion.cli", ["CoolProp", "numpy", "vosk", "pocketsphinx", "jinja2"]),
        ("companion.job.engine", ["CoolProp", "numpy", "speech", "hardware"]),
        ("companion.shell.lines_command", ["CoolProp", "numpy", "vosk", "gpiozero"]),
    ],
)
def test_heavy_libraries_stay_off_the_way_to_a_cue(
    module: str, heavy: list[str]
) -> None:
    code = (
        f"import sys, {module}\n"
        f"print(','.join(m for m in {heavy!r} if m in sys.modules))"
    )
    found = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()
    assert found == ""


def test_import_contracts_hold() -> None:
    tool = Path(sys.executable).parent / "lint-imports"
    if not tool.exists():
        pytest.skip("the import linter is not installed")
    done = subprocess.run(  # noqa: S603 - our own command
        [str(tool)], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


LEAKS = re.compile(r"/(?:home|root|tmp)/\w")


def test_the_project_speaks_of_itself_alone() -> None:
    files = [*ROOT.glob("*.md"), *ROOT.glob("*.toml")]
    for package in OURS:
        files += [*(ROOT / package).rglob("*.py"), *(ROOT / package).rglob("*.toml")]
    told = [
        f"{path.relative_to(ROOT)}: {line}"
        for path in files
        for line in path.read_text(encoding="utf-8").splitlines()
        if LEAKS.search(line)
    ]
    assert told == []

"""A speech model from a file: checked for size and SHA-256, then unpacked safely.

Beside ``FILE.zip`` lies ``FILE.zip.pin`` with its SHA-256 and its size in bytes, on one
line. It comes from whoever picked the model, best not on the same stick: together they
only show that nothing was damaged on the way. A model is unpacked beside its place and
moved there whole, and leaves a list of its files, so that a later check notices one
that was damaged on the card.
"""

import hashlib
import json
import os
import shutil
import zipfile
from dataclasses import dataclass
from pathlib import Path

from companion.shell.errors import CompanionError

LIST = "files.json"
_CHUNK = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """What a model's file must be."""

    sha256: str
    size: int


def read_pin(path: Path) -> Pin:
    """Read the pin beside a model's file.

    Raises
    ------
    CompanionError
        If it is missing or not one.
    """
    place = path.with_name(path.name + ".pin")
    try:
        sha256, size = place.read_text(encoding="utf-8").split()
        pin = Pin(sha256=sha256.lower(), size=int(size))
    except (OSError, ValueError) as trouble:
        raise CompanionError(
            f"{place} must hold the SHA-256 and the size in bytes of {path.name} "
            f"({trouble}); get it from whoever picked the model"
        ) from trouble
    return pin


def add_model(path: Path, pin: Pin, folder: Path) -> Path:
    """Check a model's ZIP file and unpack it into ``folder``; give its place.

    A model that is there already, whole, is left as it is.

    Raises
    ------
    CompanionError
        If the file is not the pinned one, is no safe ZIP file, or cannot be unpacked.
    """
    _check(path, pin)
    place = folder / path.stem
    if place.is_dir() and not damaged(place):
        return place
    partial = folder / f".{path.stem}.part"
    shutil.rmtree(partial, ignore_errors=True)
    try:
        partial.mkdir(parents=True)
        with zipfile.ZipFile(path) as archive:
            for name in archive.namelist():
                _refuse_unsafe(name, path)
            archive.extractall(partial)
    except (OSError, zipfile.BadZipFile) as trouble:
        raise CompanionError(f"{path} cannot be unpacked: {trouble}") from trouble
    _lift_single(partial)
    listed = json.dumps(_listed(partial), indent=1)
    (partial / LIST).write_text(listed + "\n", encoding="utf-8")
    os.sync()
    shutil.rmtree(place, ignore_errors=True)
    partial.rename(place)
    return place


def damaged(place: Path) -> str:
    """Say what is wrong with an unpacked model, or "" where nothing is.

    A model without a list was not put there by us, and is not judged.
    """
    known = place / LIST
    if not known.is_file():
        return ""
    try:
        listed = json.loads(known.read_text(encoding="utf-8"))
    except (OSError, ValueError) as trouble:
        return f"{known} cannot be read ({trouble})"
    there = _listed(place)
    wrong = sorted(name for name in listed if there.get(name) != listed[name])
    return f"damaged or missing: {', '.join(wrong)}" if wrong else ""


def _check(path: Path, pin: Pin) -> None:
    try:
        size = path.stat().st_size
        found = _sha256(path)
    except OSError as trouble:
        raise CompanionError(f"{path} cannot be read: {trouble.strerror}") from trouble
    if size != pin.size:
        raise CompanionError(
            f"{path} has {size} bytes, not the {pin.size} of its pin; copy it again"
        )
    if found != pin.sha256:
        raise CompanionError(
            f"{path} has SHA-256 {found}, not {pin.sha256}; it is damaged or another"
        )


def _sha256(path: Path) -> str:
    total = hashlib.sha256()
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            total.update(chunk)
    return total.hexdigest()


def _refuse_unsafe(name: str, path: Path) -> None:
    parts = Path(name).parts
    if Path(name).is_absolute() or ".." in parts or "\\" in name:
        raise CompanionError(f"{path} holds {name!r}, which leads out of its folder")


def _lift_single(folder: Path) -> None:
    """Lift the content of a single top folder, as most archives have one."""
    inside = list(folder.iterdir())
    if len(inside) == 1 and inside[0].is_dir():
        top = inside[0].rename(folder / ".top")
        for each in top.iterdir():
            each.rename(folder / each.name)
        top.rmdir()


def _listed(place: Path) -> dict[str, str]:
    return {
        str(path.relative_to(place)): _sha256(path)
        for path in sorted(place.rglob("*"))
        if path.is_file() and path.name != LIST
    }

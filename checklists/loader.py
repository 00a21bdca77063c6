"""Read every checklist file, and report every fault with its file and step."""

import difflib
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from checklists.model import AskStep, Checklist, ChecklistError, DoStep

_KEYS = {
    "list": tuple(Checklist.model_fields),
    "do": tuple(DoStep.model_fields),
    "ask": tuple(AskStep.model_fields),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistFault:
    """One fault: the file, the step (None for the list itself), what is wrong."""

    file: str
    step: str | None
    message: str

    def __str__(self) -> str:
        where = self.file if self.step is None else f"{self.file}, step {self.step}"
        return f"{where}: {self.message}"


class ChecklistFilesError(ChecklistError):
    """Checklist files that cannot be used; ``faults`` holds every fault found."""

    def __init__(self, faults: tuple[ChecklistFault, ...]) -> None:
        count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
        lines = "".join(f"\n  {fault}" for fault in faults)
        super().__init__(f"{count} in the checklists; correct the files:{lines}")
        self.faults = faults


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklists:
    """Every checklist that was read, in order of id."""

    lists: tuple[Checklist, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of all lists."""
        return tuple(one.id for one in self.lists)

    @property
    def by_id(self) -> Mapping[str, Checklist]:
        """All lists, as a read-only mapping."""
        return MappingProxyType({one.id: one for one in self.lists})

    def __iter__(self) -> Iterator[Checklist]:
        return iter(self.lists)

    def __len__(self) -> int:
        return len(self.lists)

    def __getitem__(self, checklist_id: str) -> Checklist:
        """Give the list of that id.

        Raises
        ------
        ChecklistError
            If there is none; the message names those there are.
        """
        for one in self.lists:
            if one.id == checklist_id:
                return one
        raise ChecklistError(
            f"there is no checklist '{checklist_id}'; there are: {', '.join(self.ids)}"
        )


def load_all(folder: Path | Traversable | None = None) -> Checklists:
    """Read every ``*.toml`` file of a folder, by default the lists shipped here.

    Raises
    ------
    ChecklistFilesError
        If the folder has no list or any file has a fault; it carries every fault
        of every file.
    """
    place: Traversable = files("checklists") / "data" if folder is None else folder
    lists: list[Checklist] = []
    faults: list[ChecklistFault] = []
    for file in sorted(_toml_files(place), key=lambda file: file.name):
        read = _read(file)
        if isinstance(read, Checklist):
            lists.append(read)
        else:
            faults += read
    if not lists and not faults:
        faults.append(
            ChecklistFault(file=str(place), step=None, message="holds no .toml file")
        )
    if faults:
        raise ChecklistFilesError(tuple(faults))
    return Checklists(lists=tuple(lists))


def _toml_files(place: Traversable) -> list[Traversable]:
    if not place.is_dir():
        return []
    return [file for file in place.iterdir() if file.name.endswith(".toml")]


def _read(file: Traversable) -> Checklist | list[ChecklistFault]:
    try:
        raw = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        return [
            ChecklistFault(file=file.name, step=None, message=f"not TOML: {problem}")
        ]
    faults = _doubles(file.name, raw)
    wanted = file.name.removesuffix(".toml")
    if raw.get("id", wanted) != wanted:
        faults.append(
            ChecklistFault(
                file=file.name,
                step=None,
                message=f"id: is '{raw['id']}', but the file's name makes it '{wanted}'",
            )
        )
    try:
        checklist = Checklist.model_validate(raw)
    except ValidationError as problem:
        return faults + [_fault(file.name, raw, error) for error in problem.errors()]
    return faults or checklist


def _raw_steps(raw: dict[str, Any]) -> list[dict[str, Any]]:
    steps = raw.get("steps")
    if not isinstance(steps, list):
        return []
    return [step if isinstance(step, dict) else {} for step in steps]


def _doubles(file: str, raw: dict[str, Any]) -> list[ChecklistFault]:
    ids = Counter(str(step["id"]) for step in _raw_steps(raw) if "id" in step)
    return [
        ChecklistFault(file=file, step=name, message=f"id: {count} steps have this id")
        for name, count in ids.items()
        if count > 1
    ]


def _fault(file: str, raw: dict[str, Any], error: ErrorDetails) -> ChecklistFault:
    name: str | None = None
    match error["loc"]:
        case ("steps", int(index), *inner):
            step = _raw_steps(raw)[index]
            name = str(step.get("id", f"number {index + 1}"))
            # The first inner part names the kind of step, once that is known.
            kind = str(inner[0]) if inner else ""
            parts, keys = inner[1:], _KEYS.get(kind, ())
        case loc:
            parts, keys = [*loc], _KEYS["list"]
    return ChecklistFault(file=file, step=name, message=_message(error, parts, keys))


def _message(error: ErrorDetails, parts: list[int | str], keys: tuple[str, ...]) -> str:
    where = ".".join(map(str, parts))
    match error["type"]:
        case "missing":
            return f"{where}: is missing"
        case "extra_forbidden":
            near = difflib.get_close_matches(str(parts[-1]), keys, n=1)
            hint = f"perhaps '{near[0]}'" if near else f"known: {', '.join(keys)}"
            return f"{where}: is not known; {hint}"
        case "union_tag_invalid" | "union_tag_not_found":
            return "kind: must be 'do' or 'ask'"
        case "string_pattern_mismatch":
            return f"{where}: must be lower-case words joined by hyphens"
        case "value_error":
            return f"{where}: {error['ctx']['error']}"
        case _:
            return f"{where}: {error['msg']}"

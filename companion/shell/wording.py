"""Cue and values to a sentence, in the technician's units: one to print, one to speak.

The table is checked as a whole when it is read: every cue the engine knows has a
sentence, every placeholder is a declared value, and every table that a placeholder
names is there. In the spoken form, readings and designations are said one digit at a
time.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from importlib.resources import files

from pydantic import BaseModel, ConfigDict, ValidationError

from companion.job.amounts import Amount
from companion.job.cues import CUES
from companion.job.outputs import Say, Value
from companion.shell.errors import CompanionError
from companion.shell.units import System, number_in, unit_of
from speech import digits_spoken, name_spoken

FILE = "wording.toml"
_PLACE = re.compile(r"\{(\w+)(?:\|(\w+))?\}|\{unit:([\w-]+)\}")
_DESIGNATION = re.compile(r"\bR-\d+[A-Za-z()]*")
_SPACES = re.compile(r"\s+")


class WordingError(CompanionError, ValueError):
    """The wording table is broken; the message names every fault."""


class _File(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    cues: dict[str, str]
    questions: dict[str, str]
    labels: dict[str, str]
    whys: dict[str, str]
    phases: dict[str, str]
    valves: dict[str, str]
    halts: dict[str, str]
    methods: dict[str, str]
    cylinders: dict[str, str]
    outcomes: dict[str, str]
    devices: dict[str, str]
    options: dict[str, str]
    help: dict[str, str]
    hints: dict[str, str]
    looks: dict[str, str]
    phrases: dict[str, list[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A sentence, as printed and as spoken."""

    text: str
    speech: str


class Wording:
    """The sentences of one language, in one system of units."""

    def __init__(self, tables: _File, system: System) -> None:
        self.tables = tables
        self.system: System = system
        self._by_name: Mapping[str, Mapping[str, str]] = {
            name: table
            for name, table in tables.model_dump().items()
            if name not in ("cues", "phrases")
        }

    def line(self, say: Say) -> Line:
        """Give the sentence of a cue with its values."""
        return self._line(self.tables.cues[say.cue], say.values)

    def _line(self, template: str, values: Mapping[str, Value]) -> Line:
        spoken = self._fill(template, values, spoken=True)
        return Line(text=self._fill(template, values, spoken=False), speech=spoken)

    def _fill(self, template: str, values: Mapping[str, Value], *, spoken: bool) -> str:
        def put(found: re.Match[str]) -> str:
            name, table, kind = found.groups()
            if kind is not None:
                unit = unit_of(kind, self.system)
                return unit.spoken if spoken else unit.printed
            value = values[name]
            if table is not None:
                looked_up = self._by_name[table].get(str(value), str(value))
                return self._fill(looked_up, values, spoken=spoken)
            if name == "seconds" and isinstance(value, int):
                return _duration(value)
            return self.value(value, spoken=spoken)

        return _SPACES.sub(" ", _PLACE.sub(put, template)).strip()

    def value(self, value: Value, *, spoken: bool) -> str:
        """Give a value as words or as print."""
        match value:
            case None:
                return "not known"
            case Amount():
                return self._amount(value, spoken=spoken)
            case str():
                text = self.tables.options.get(value, value)
                return _DESIGNATION.sub(_say_name, text) if spoken else text
            case int() | float():
                return f"{value:g}"

    def _amount(self, amount: Amount, *, spoken: bool) -> str:
        unit = unit_of(amount.of, self.system)
        number = number_in(amount, unit)
        if not spoken:
            return f"{number} {unit.printed}"
        if amount.of == "temperature-difference":
            # A result is a size, not a reading: it is said as one number.
            return f"{number} {unit.spoken}"
        return f"{digits_spoken(Decimal(number))} {unit.spoken}"


def _duration(seconds: int) -> str:
    """Say a wait: seconds up to a minute and a half, minutes beyond."""
    if seconds <= 90:
        return f"{seconds} seconds"
    return f"{round(seconds / 60)} minutes"


def _say_name(found: re.Match[str]) -> str:
    return name_spoken(found.group())


def read_wording(system: System, text: str | None = None) -> Wording:
    """Read and check the shipped wording, or the given text of such a table.

    Raises
    ------
    WordingError
        If a cue, a table or a placeholder is missing or not known; all are named.
    """
    if text is None:
        place = files("companion.shell") / "data" / FILE
        text = place.read_text(encoding="utf-8")
    try:
        tables = _File.model_validate(tomllib.loads(text))
    except (tomllib.TOMLDecodeError, ValidationError) as trouble:
        raise WordingError(f"{FILE} cannot be used: {trouble}") from trouble
    faults = _faults(tables)
    if faults:
        raise WordingError(f"{FILE}: " + "; ".join(faults))
    return Wording(tables, system)


def _faults(tables: _File) -> list[str]:
    faults = [f"no sentence for cue {cue}" for cue in CUES if cue not in tables.cues]
    faults += [f"cue {cue} is not known" for cue in tables.cues if cue not in CUES]
    names = set(tables.model_dump())
    for cue, template in tables.cues.items():
        for name, table, _ in _PLACE.findall(template):
            if name and name not in CUES.get(cue, ()):
                faults.append(f"cue {cue} has no value {name}")
            if table and table not in names:
                faults.append(f"cue {cue} names a table {table} that is not there")
    return faults

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
from companion.shell.prose import Prose, read_prose
from companion.shell.units import System, Unit, number_in, unit_of
from companion.shell.verbosity import CAREFUL, Speaking, template
from speech import LANGUAGES, LanguageId

FILE = "wording.toml"
FILES: Mapping[LanguageId, str] = {"en": FILE, "es": "wording_es.toml"}
"""The table of each language; the English one is the model for the others."""
_PLACE = re.compile(r"\{(\w+)(?:\|(\w+))?\}|\{unit:([\w-]+)\}")
_DESIGNATION = re.compile(r"\bR-\d+[A-Za-z()]*")
_NOT_LOOKED_UP = ("cues", "phrases", "brief", "words", "units")
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
    unknowns: dict[str, str]
    impossible: dict[str, str]
    ways: dict[str, str]
    doubts: dict[str, str]
    refusals: dict[str, str]
    faults: dict[str, str]
    options: dict[str, str]
    help: dict[str, str]
    hints: dict[str, str]
    looks: dict[str, str]
    phrases: dict[str, list[str]]
    dial: dict[str, str]
    brief: dict[str, str]
    words: dict[str, str]
    units: dict[str, str] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A sentence, as printed and as spoken."""

    text: str
    speech: str


class Wording:
    """The sentences of one language, in one system of units, spoken in one manner."""

    def __init__(
        self,
        tables: _File,
        system: System,
        language: LanguageId = "en",
        speaking: Speaking | None = None,
    ) -> None:
        self.tables = tables
        self.system: System = system
        self.language = LANGUAGES[language]
        self.speaking = speaking or Speaking()
        self._prose: Prose = read_prose(language)
        self._by_name: Mapping[str, Mapping[str, str]] = {
            name: table
            for name, table in tables.model_dump().items()
            if name not in _NOT_LOOKED_UP
        }

    def line(self, say: Say) -> Line:
        """Give the sentence of a cue with its values."""
        full = self.tables.cues[say.cue]
        brief = self.tables.brief.get(say.cue)
        spoken = template(say.cue, full, brief, self.speaking, urgent=say.urgent)
        careful = say.urgent or say.cue in CAREFUL
        return Line(
            text=self._fill(full, say.values, spoken=False),
            speech=self._fill(spoken, say.values, spoken=True, careful=careful),
        )

    def _fill(
        self,
        template: str,
        values: Mapping[str, Value],
        *,
        spoken: bool,
        careful: bool = False,
    ) -> str:
        def put(found: re.Match[str]) -> str:
            name, table, kind = found.groups()
            if kind is not None:
                return self.unit(unit_of(kind, self.system), spoken=spoken)
            value = values[name]
            if table is not None:
                looked_up = self._by_name[table].get(str(value))
                if looked_up is None:
                    return self.value(value, spoken=spoken, careful=careful)
                return self._fill(looked_up, values, spoken=spoken, careful=careful)
            if name == "seconds" and isinstance(value, int):
                return self._duration(value)
            return self.value(value, spoken=spoken, careful=careful)

        return _SPACES.sub(" ", _PLACE.sub(put, template)).strip()

    def unit(self, unit: Unit, *, spoken: bool) -> str:
        """Give a unit's name."""
        return self.named(unit.spoken if spoken else unit.printed)

    def named(self, unit: str) -> str:
        """Give the name in this language of a unit named in English."""
        return self.tables.units.get(unit, unit)

    def value(self, value: Value, *, spoken: bool, careful: bool = False) -> str:
        """Give a value as words or as print.

        ``careful`` says an amount digit by digit with its unit, whatever was chosen.
        """
        match value:
            case None:
                return self.tables.words["not-known"]
            case Amount():
                return self._amount(value, spoken=spoken, careful=careful)
            case str():
                known = self.tables.options.get(value) or self.tables.units.get(value)
                text = known or self._prose.said(value)
                return _DESIGNATION.sub(self._say_name, text) if spoken else text
            case int() | float():
                return f"{value:g}"

    def _amount(self, amount: Amount, *, spoken: bool, careful: bool) -> str:
        unit = unit_of(amount.of, self.system)
        number = number_in(amount, unit)
        if not spoken:
            return f"{number} {self.unit(unit, spoken=False)}"
        # A result is a size, not a reading: it is said as one number.
        whole = self.speaking.digits == "whole" and not careful
        if amount.of != "temperature-difference" and not whole:
            number = self.language.digits_spoken(Decimal(number))
        if not self.speaking.units and not careful:
            return number
        return f"{number} {self.unit(unit, spoken=True)}"

    def _duration(self, seconds: int) -> str:
        """Say a wait: seconds up to a minute and a half, minutes beyond."""
        if seconds <= 90:
            return self.tables.words["seconds"].format(count=seconds)
        halves = round(seconds / 30)
        whole, half = divmod(halves, 2)
        name = "minutes-and-a-half" if half and whole < 5 else "minutes"
        return self.tables.words[name].format(count=whole)

    def _say_name(self, found: re.Match[str]) -> str:
        return self.language.name_spoken(found.group())


def read_wording(
    system: System,
    text: str | None = None,
    language: LanguageId = "en",
    speaking: Speaking | None = None,
) -> Wording:
    """Read and check the shipped wording, or the given text of such a table.

    Raises
    ------
    WordingError
        If a cue, a table or a placeholder is missing or not known, or a language lacks
        a sentence that English has; all are named.
    """
    file = FILES[language]
    tables = _tables(file, _text(file) if text is None else text)
    faults = _faults(tables)
    if language != "en":
        faults += missing_in(tables.model_dump(), _tables(FILE, _text(FILE)))
    if faults:
        raise WordingError(f"{file}: " + "; ".join(faults))
    return Wording(tables, system, language, speaking)


def _text(file: str) -> str:
    place = files("companion.shell") / "data" / file
    return place.read_text(encoding="utf-8")


def _tables(file: str, text: str) -> _File:
    try:
        return _File.model_validate(tomllib.loads(text))
    except (tomllib.TOMLDecodeError, ValidationError) as trouble:
        raise WordingError(f"{file} cannot be used: {trouble}") from trouble


def missing_in(other: Mapping[str, Mapping[str, object]], english: _File) -> list[str]:
    """Name what another language lacks, and what it has beside English."""
    faults: list[str] = []
    for table, rows in english.model_dump().items():
        for key, sentence in rows.items():
            if key not in other[table]:
                faults.append(f"[{table}] {key} is missing; in English: {sentence!r}")
        if table != "units":
            faults += [
                f"[{table}] {key} is not in the English table"
                for key in other[table]
                if key not in rows
            ]
    return faults


def left_behind(language: LanguageId) -> list[str]:
    """Name the sentences whose English has changed since they were translated.

    Above each sentence of another language stands a comment with the English one.
    """
    noted = dict[tuple[str, str], str]()
    table = ""
    for line in _text(FILES[language]).splitlines():
        if line.startswith("["):
            table = line.strip("[]")
        elif line.startswith("# ") and " = " in line:
            found = tomllib.loads(line[2:])
            noted |= {(table, key): str(value) for key, value in found.items()}
    english = _tables(FILE, _text(FILE)).model_dump()
    return [
        f"[{table}] {key}"
        for (table, key), was in noted.items()
        if str(english.get(table, {}).get(key, was)) != was
    ]


def _faults(tables: _File) -> list[str]:
    faults = [f"no sentence for cue {cue}" for cue in CUES if cue not in tables.cues]
    faults += [f"cue {cue} is not known" for cue in tables.cues if cue not in CUES]
    names = set(tables.model_dump())
    faults += [
        f"brief form of {cue}: not a cue" for cue in tables.brief if cue not in CUES
    ]
    for cue, sentence in (*tables.cues.items(), *tables.brief.items()):
        for name, table, _ in _PLACE.findall(sentence):
            if name and name not in CUES.get(cue, ()):
                faults.append(f"cue {cue} has no value {name}")
            if table and table not in names:
                faults.append(f"cue {cue} names a table {table} that is not there")
    return faults

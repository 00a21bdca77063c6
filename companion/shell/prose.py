"""Sentences that the engine gives whole, in another language: reasons and refusals.

Knowledge states its reasons in English, and so they stand in the journal, which belongs
to no language. Here they are turned clause by clause: each row of the table has an id,
the English clause with ``{places}`` for what varies, and its translation. What is in a
place is turned as well. A clause without a row stays English, and is named by
:meth:`Prose.missing`, so that a test can hold the table to what knowledge can say.
"""

import re
import tomllib
from functools import cache
from importlib.resources import files

from pydantic import BaseModel, ConfigDict, ValidationError

from companion.shell.errors import CompanionError
from speech import LanguageId

_PLACE = re.compile(r"\{(\w+)\}")
_BREAK = re.compile(r"(;\s+|\.\s+|\.$)")
_DESIGNATION = r"'?R-\w+(?:\(\w\))?'?"
_PLAIN = re.compile(
    rf"[\d\s.,;:%+()/-]*|{_DESIGNATION}(?:, {_DESIGNATION})*|[\w.-]+"
    r"|-?[\d.]+ \w+(?: absolute)?"
)
"""What needs no row: numbers, with their unit, designations, single words."""


class ProseError(CompanionError, ValueError):
    """The table of sentences is broken; the message names the rows."""


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    id: str
    en: str
    es: str


class _File(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    said: list[_Row]


class Prose:
    """Turns whole English sentences into another language; without rows, into itself."""

    def __init__(self, rows: tuple[_Row, ...] = ()) -> None:
        self._fixed = {row.en.lower(): row.es for row in rows if "{" not in row.en}
        with_places = [row for row in rows if "{" in row.en]
        # The row with the most fixed words is the closest fit, so it is tried first.
        with_places.sort(key=lambda row: -len(_PLACE.sub("", row.en)))
        self._varied = [(_pattern(row.en), row.es) for row in with_places]
        self._empty = not rows

    def said(self, text: str) -> str:
        """Give a text in the language, clause by clause."""
        if self._empty:
            return text
        return "".join(
            piece if _BREAK.fullmatch(piece) else self._clause(piece) or piece
            for piece in _BREAK.split(text)
        )

    def missing(self, text: str) -> list[str]:
        """Give the clauses of a text that have no row."""
        pieces = [each for each in _BREAK.split(text) if not _BREAK.fullmatch(each)]
        lacking: list[str] = []
        for piece in pieces:
            row = self._row(piece)
            if row is not None:
                inside = row[1].values()
                lacking += [each for value in inside for each in self.missing(value)]
            elif not _PLAIN.fullmatch(piece):
                lacking.append(piece)
        return lacking

    def _row(self, clause: str) -> tuple[str, dict[str, str]] | None:
        """Find the row of a clause, and what is in its places."""
        fixed = self._fixed.get(clause.lower())
        if fixed is not None:
            return fixed, {}
        for pattern, sentence in self._varied:
            found = pattern.fullmatch(clause)
            if found is not None:
                return sentence, found.groupdict()
        return None

    def _clause(self, clause: str) -> str | None:
        row = self._row(clause)
        if row is None:
            return None
        sentence, places = row
        turned = sentence.format(
            **{name: self.said(value) for name, value in places.items()}
        )
        return turned[0].upper() + turned[1:] if clause[:1].isupper() else turned


def _pattern(sentence: str) -> re.Pattern[str]:
    parts = _PLACE.split(sentence)
    built = [
        f"(?P<{part}>.+?)" if at % 2 else re.escape(part)
        for at, part in enumerate(parts)
    ]
    return re.compile("".join(built), re.IGNORECASE)


@cache
def read_prose(language: LanguageId) -> Prose:
    """Read and check the table of a language; English needs none.

    Raises
    ------
    ProseError
        If the table is broken; every faulty row is named.
    """
    if language == "en":
        return Prose()
    name = f"prose_{language}.toml"
    text = (files("companion.shell") / "data" / name).read_text(encoding="utf-8")
    return load_prose(text, name)


def load_prose(text: str, name: str) -> Prose:
    """Read a table of sentences from TOML text; see :func:`read_prose`."""
    try:
        rows = _File.model_validate(tomllib.loads(text)).said
    except (tomllib.TOMLDecodeError, ValidationError) as trouble:
        raise ProseError(f"{name} cannot be used: {trouble}") from trouble
    ids = [row.id for row in rows]
    faults = [f"{each}: twice" for each in sorted({i for i in ids if ids.count(i) > 1})]
    faults += [
        f"{row.id}: the places of both sentences differ"
        for row in rows
        if set(_PLACE.findall(row.en)) < set(_PLACE.findall(row.es))
    ]
    faults += [
        f"{row.id}: holds more than one clause"
        for row in rows
        if len(_BREAK.split(row.en)) > 1
    ]
    if faults:
        raise ProseError(f"{name}: " + "; ".join(faults))
    return Prose(tuple(rows))

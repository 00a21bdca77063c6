"""Check a cited table: text in, rows out, every fault at once.

No number without a source: each table names, for each of its numbers, where the number
is printed (a source id from ``sources.toml`` and a locator such as a table or a page)
and how sure we are of it (a mark). A number that nobody prints says so: its source is
one of the entries for common practice, memory, own sums or own choices.
"""

import json
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, RootModel, ValidationError

from companion.knowledge.errors import CompanionError

Mark = Literal[
    "read at source",
    "second-hand",
    "computed",
    "from memory",
    "common practice, no source",
    "own design",
]
"""How a value is known.

``read at source``: read in the named publication. ``second-hand``: read in a copy or a
summary of it. ``computed``: worked out here from sourced values. ``from memory``: no
source found. ``common practice, no source``: the trade does so; nobody was found who
prints it. ``own design``: chosen for this program.
"""


class TableModel(BaseModel):
    """A part of a table file: frozen, strict, and unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class CitationModel(TableModel):
    """Where a value comes from, as written in a table file."""

    source: str
    at: str = Field(min_length=1)
    mark: Mark


class SourceModel(TableModel):
    """One entry of ``sources.toml``."""

    reference: str = Field(min_length=10)
    note: str = ""


class SourcesFile(RootModel[dict[str, SourceModel]]):
    """The whole of ``sources.toml``: full references by source id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A publication, or an honest statement that there is none.

    Attributes
    ----------
    id
        The name that tables cite.
    reference
        The full reference.
    note
        What a reader must know about the copy that was read; may be empty.
    """

    id: str
    reference: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Where a value comes from and how sure that is.

    Attributes
    ----------
    source
        Source id, a key of ``sources.toml``.
    at
        Locator: table, page, clause, edition.
    mark
        How the value is known.
    """

    source: str
    at: str
    mark: Mark

    def __str__(self) -> str:
        return f"{self.source}, {self.at} ({self.mark})"


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFault:
    """One thing that is wrong in a table file.

    Attributes
    ----------
    file, key
        Where: the file and the path of the key in it.
    wrong
        What is wrong.
    right
        What would be right.
    """

    file: str
    key: str
    wrong: str
    right: str

    def __str__(self) -> str:
        return f"{self.file}: {self.key}: {self.wrong}; {self.right}"


class TableError(CompanionError, ValueError):
    """One or more table files are broken; ``faults`` lists everything found."""

    def __init__(self, faults: Iterable[TableFault]) -> None:
        self.faults = tuple(faults)
        listed = "\n".join(f"  {fault}" for fault in self.faults)
        super().__init__(
            f"{len(self.faults)} faults in the knowledge tables; correct each:\n{listed}"
        )


Model = TypeVar("Model", bound=BaseModel)


def check_table(
    file: str, text: str, model: type[Model]
) -> Model | tuple[TableFault, ...]:
    """Check the text of a TOML or JSON table against a model.

    Parameters
    ----------
    file
        Name of the file; ``.json`` is read as JSON, anything else as TOML.
    text
        Its whole text.
    model
        What the file must look like.

    Returns
    -------
    Model or tuple of TableFault
        The checked content, or all faults found.
    """
    try:
        content = json.loads(text) if file.endswith(".json") else tomllib.loads(text)
    except (json.JSONDecodeError, tomllib.TOMLDecodeError) as error:
        right = "write well-formed TOML, or JSON in a .json file"
        return (TableFault(file=file, key="-", wrong=str(error), right=right),)
    try:
        return model.model_validate(content)
    except ValidationError as error:
        return tuple(
            TableFault(
                file=file,
                key=".".join(str(part) for part in item["loc"]) or "-",
                wrong=f"{item['msg']}, found {_short(item['input'])}",
                right=_RIGHT.get(item["type"], "write what the message asks for"),
            )
            for item in error.errors(include_url=False)
        )


_RIGHT = {
    "extra_forbidden": "no such key is known here: correct its spelling or remove it",
    "missing": "add this key",
    "literal_error": "write one of the values listed",
    "float_type": "write a number without quotes",
    "string_too_short": "write the text out",
}


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def citation(found: CitationModel) -> Citation:
    """Give the record of a checked citation."""
    return Citation(source=found.source, at=found.at, mark=found.mark)


def unknown_sources(
    file: str, cited: Mapping[str, CitationModel], sources: Mapping[str, Source]
) -> tuple[TableFault, ...]:
    """Find citations of sources that ``sources.toml`` does not hold.

    Parameters
    ----------
    file
        The citing file, for the message.
    cited
        Citations by the key at which they stand.
    sources
        All sources by id.
    """
    return tuple(
        TableFault(
            file=file,
            key=key,
            wrong=f"the source {found.source!r} is not in sources.toml",
            right=f"add it there, or cite one of: {', '.join(sorted(sources))}",
        )
        for key, found in cited.items()
        if found.source not in sources
    )


def read_sources(text: str) -> dict[str, Source] | tuple[TableFault, ...]:
    """Read ``sources.toml``: every source by its id."""
    found = check_table("sources.toml", text, SourcesFile)
    if isinstance(found, tuple):
        return found
    return {
        name: Source(id=name, reference=entry.reference, note=entry.note)
        for name, entry in found.root.items()
    }

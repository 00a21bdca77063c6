"""Everything that is known, made once at start from the text of the data files."""

from collections.abc import Mapping
from dataclasses import dataclass

from companion.knowledge.catalogue import Catalogue
from companion.knowledge.catalogue_table import read_catalogue
from companion.knowledge.handling import Handling
from companion.knowledge.handling_table import read_handling
from companion.knowledge.limits import Limits
from companion.knowledge.limits_table import read_limits
from companion.knowledge.properties import Properties
from companion.knowledge.regulations import Regulations
from companion.knowledge.regulations_table import read_regulations
from companion.knowledge.saturation import SaturationTables, read_saturation
from companion.knowledge.tables import Source, TableError, TableFault, read_sources
from companion.knowledge.targets import Targets
from companion.knowledge.targets_table import read_targets

FILES = (
    "sources.toml",
    "refrigerants.toml",
    "saturation.json",
    "limits.toml",
    "targets.toml",
    "handling.toml",
    "regulations.toml",
)
"""The data files that :func:`load_knowledge` wants the text of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """What is true, for the engine and the look-ups to ask."""

    catalogue: Catalogue
    properties: Properties
    limits: Limits
    targets: Targets
    handling: Handling
    regulations: Regulations
    sources: Mapping[str, Source]


def load_knowledge(texts: Mapping[str, str]) -> Knowledge:
    """Check every table and put the knowledge together.

    Parameters
    ----------
    texts
        Text by file name, for each name in ``FILES``.

    Raises
    ------
    TableError
        If any file is missing or wrong; it lists every fault of every file.
    """
    missing = [
        TableFault(file=name, key="-", wrong="the file is missing", right="restore it")
        for name in FILES
        if name not in texts
    ]
    if missing:
        raise TableError(missing)
    sources = read_sources(texts["sources.toml"])
    if isinstance(sources, tuple):
        raise TableError(sources)
    catalogue = read_catalogue(texts["refrigerants.toml"], sources)
    limits = read_limits(texts["limits.toml"], sources)
    targets = read_targets(texts["targets.toml"], sources)
    regulations = read_regulations(texts["regulations.toml"], sources)
    saturation: SaturationTables | tuple[TableFault, ...] = ()
    handling: Handling | tuple[TableFault, ...] = ()
    # A broken catalogue would only make every table of blends look superfluous.
    if not isinstance(catalogue, tuple):
        saturation = read_saturation(texts["saturation.json"], catalogue)
        handling = read_handling(texts["handling.toml"], sources, catalogue)
    if (
        isinstance(catalogue, tuple)
        or isinstance(limits, tuple)
        or isinstance(targets, tuple)
        or isinstance(regulations, tuple)
        or isinstance(saturation, tuple)
        or isinstance(handling, tuple)
    ):
        parts = (catalogue, limits, targets, regulations, saturation, handling)
        raise TableError(
            fault for part in parts if isinstance(part, tuple) for fault in part
        )
    return Knowledge(
        catalogue=catalogue,
        properties=saturation,
        limits=limits,
        targets=targets,
        handling=handling,
        regulations=regulations,
        sources=sources,
    )

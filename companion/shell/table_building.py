"""Build the saturation tables anew, from the packaged make-ups and pair remedies.

This is the only way CoolProp is used; it takes seconds and no network.
"""

from collections.abc import Sequence
from pathlib import Path

from companion.knowledge.catalogue_table import read_catalogue
from companion.knowledge.mixture_pairs import read_pair_remedies
from companion.knowledge.saturation_building import build_saturation_table
from companion.knowledge.tables import TableError, read_sources
from companion.shell.knowledge_files import read_data_file


def build(out: Path, designations: Sequence[str] | None = None) -> None:
    """Write ``saturation.json``.

    Parameters
    ----------
    out
        Where to write the file.
    designations
        Which refrigerants; all if not given.

    Raises
    ------
    TableError
        If a packaged table that goes into it is wrong.
    TableBuildError
        If a curve cannot be computed.
    """
    out.write_text(table_text(designations), encoding="utf-8")


def table_text(designations: Sequence[str] | None = None) -> str:
    """Give the text of ``saturation.json``, built anew; raises as :func:`build`."""
    sources = read_sources(read_data_file("sources.toml"))
    if isinstance(sources, tuple):
        raise TableError(sources)
    catalogue = read_catalogue(read_data_file("refrigerants.toml"), sources)
    if isinstance(catalogue, tuple):
        raise TableError(catalogue)
    pairs = read_pair_remedies(read_data_file("mixture_pairs.toml"), sources)
    if isinstance(pairs, tuple):
        raise TableError(pairs)
    return build_saturation_table(catalogue, pairs, designations)

"""Read ``mixture_pairs.toml``: what stands in for binary pairs the library lacks."""

from collections.abc import Mapping
from dataclasses import dataclass

from companion.knowledge.tables import (
    CitationModel,
    Source,
    TableFault,
    TableModel,
    check_table,
    unknown_sources,
)

FILE = "mixture_pairs.toml"


class _PairRow(TableModel):
    of: list[str]
    gamma_t: float
    cite: CitationModel


class _PairsFile(TableModel):
    pair: list[_PairRow]


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRemedy:
    """What stands in for a binary pair that the library lacks.

    Attributes
    ----------
    one, other
        Designations of the two components.
    gamma_t
        Temperature reducing parameter; the other parameters are 1.
    """

    one: str
    other: str
    gamma_t: float


def read_pair_remedies(
    text: str, sources: Mapping[str, Source]
) -> list[PairRemedy] | tuple[TableFault, ...]:
    """Read ``mixture_pairs.toml``, or find everything that is wrong with it."""
    found = check_table(FILE, text, _PairsFile)
    if isinstance(found, tuple):
        return found
    cited = {f"pair.{i}.cite": row.cite for i, row in enumerate(found.pair)}
    faults = [*unknown_sources(FILE, cited, sources)]
    faults += [
        TableFault(
            file=FILE,
            key=f"pair.{i}.of",
            wrong=f"{len(row.of)} components",
            right="name two",
        )
        for i, row in enumerate(found.pair)
        if len(row.of) != 2
    ]
    if faults:
        return tuple(faults)
    return [
        PairRemedy(one=row.of[0], other=row.of[1], gamma_t=row.gamma_t)
        for row in found.pair
    ]

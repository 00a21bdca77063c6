"""Which fault fits the way that readings have moved on a unit with a fixed orifice.

The signs are against a healthy unit in the same weather. A fault that fits every sign is
no proof: it says where to look first.

References
----------
HVAC&R Research 4(3), 1998, as tabulated in a later thesis; see ``fault_signs.toml``.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from pydantic import RootModel

from companion.knowledge.tables import (
    Citation,
    CitationModel,
    Source,
    TableFault,
    TableModel,
    check_table,
    citation,
    unknown_sources,
)

FILE = "fault_signs.toml"
Moved = Literal["+", "-"]
Reading = Literal[
    "suction",
    "superheat",
    "head",
    "subcooling",
    "discharge",
    "condenser-rise",
    "split",
]
"""``condenser-rise``: of the air through the condenser; ``split``: of the indoor air."""


class _Row(TableModel):
    signs: dict[Reading, Moved]
    cite: CitationModel


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultSigns:
    """A fault, and the way it moves each reading."""

    fault: str
    signs: Mapping[Reading, Moved]
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How a fault fits: the signs it shares and those it contradicts."""

    fault: FaultSigns
    agree: tuple[Reading, ...]
    contradict: tuple[Reading, ...]


class _File(RootModel[dict[str, _Row]]):
    """The whole of ``fault_signs.toml``, by the name of the fault."""


def read_fault_signs(
    text: str, sources: Mapping[str, Source]
) -> tuple[FaultSigns, ...] | list[TableFault]:
    """Read the table, or find everything that is wrong with it.

    Parameters
    ----------
    text
        Text of ``fault_signs.toml``.
    sources
        All sources by id.
    """
    checked = check_table(FILE, text, _File)
    if isinstance(checked, tuple):
        return list(checked)
    cited = {f"{name}.cite": row.cite for name, row in checked.root.items()}
    faults = unknown_sources(FILE, cited, sources)
    if faults:
        return list(faults)
    return tuple(
        FaultSigns(fault=name, signs=row.signs, citation=citation(row.cite))
        for name, row in checked.root.items()
    )


def rank(
    table: tuple[FaultSigns, ...], seen: Mapping[Reading, Moved]
) -> tuple[Fit, ...]:
    """Give every fault, the one that contradicts least and agrees most first.

    Parameters
    ----------
    table
        The faults.
    seen
        The way each reading has moved; those that did not move are left out.
    """
    fits = [
        Fit(
            fault=each,
            agree=tuple(name for name in seen if each.signs.get(name) == seen[name]),
            contradict=tuple(
                name
                for name in seen
                if name in each.signs and each.signs[name] != seen[name]
            ),
        )
        for each in table
    ]
    return tuple(sorted(fits, key=lambda fit: (len(fit.contradict), -len(fit.agree))))

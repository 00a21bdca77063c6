"""Read ``targets.toml`` into the tables of targets."""

from collections.abc import Mapping

from companion.knowledge.quantities import TemperatureDifference
from companion.knowledge.tables import (
    CitationModel,
    Source,
    TableFault,
    TableModel,
    check_table,
    citation,
    unknown_sources,
)
from companion.knowledge.targets import Targets

FILE = "targets.toml"
DASH = 0


class _Superheat(TableModel):
    return_wet_bulb_f: list[float]
    outdoor_f: list[float]
    target_df: list[list[float]]
    cite: CitationModel


class _Subcooling(TableModel):
    assumed_df: float
    lowest_df: float
    highest_df: float
    cite: CitationModel
    nameplate_cite: CitationModel


class _LiquidLine(TableModel):
    refrigerant: str
    ounces_per_foot: dict[str, float]
    cite: CitationModel


class _File(TableModel):
    superheat: _Superheat
    subcooling: _Subcooling
    liquid_line: _LiquidLine


def read_targets(
    text: str, sources: Mapping[str, Source]
) -> Targets | tuple[TableFault, ...]:
    """Read the targets, or find everything that is wrong with their file.

    Parameters
    ----------
    text
        Text of ``targets.toml``.
    sources
        All sources by id.
    """
    found = check_table(FILE, text, _File)
    if isinstance(found, tuple):
        return found
    cited = {
        "superheat.cite": found.superheat.cite,
        "subcooling.cite": found.subcooling.cite,
        "subcooling.nameplate_cite": found.subcooling.nameplate_cite,
        "liquid_line.cite": found.liquid_line.cite,
    }
    faults = (*unknown_sources(FILE, cited, sources), *_shape_faults(found.superheat))
    return faults or _record(found)


def _shape_faults(table: _Superheat) -> list[TableFault]:
    rows, columns = len(table.outdoor_f), len(table.return_wet_bulb_f)
    wrong: list[tuple[str, str, str]] = []
    for key in ("outdoor_f", "return_wet_bulb_f"):
        nodes = getattr(table, key)
        if sorted(set(nodes)) != nodes:
            wrong.append((key, "the values do not rise", "put them in order"))
    if len(table.target_df) != rows:
        text = f"{len(table.target_df)} rows for {rows} outdoor temperatures"
        wrong.append(("target_df", text, "give one row each"))
    for i, row in enumerate(table.target_df):
        key = f"target_df.{i}"
        if len(row) != columns:
            text = f"{len(row)} cells for {columns} wet bulbs"
            wrong.append((key, text, "give one cell each, 0 for a dash"))
        if sorted(row) != row or len(set(row) - {DASH}) != len(row) - row.count(DASH):
            text = "the target does not rise with the wet bulb"
            wrong.append((key, text, "check the row against the print"))
    return [
        TableFault(file=FILE, key=f"superheat.{key}", wrong=text, right=right)
        for key, text, right in wrong
    ]


def _record(found: _File) -> Targets:
    heat, cool, line = found.superheat, found.subcooling, found.liquid_line
    return Targets(
        outdoor_f=tuple(heat.outdoor_f),
        return_wet_bulb_f=tuple(heat.return_wet_bulb_f),
        superheat_df=tuple(
            tuple(None if cell == DASH else cell for cell in row)
            for row in heat.target_df
        ),
        superheat_citation=citation(heat.cite),
        assumed_subcooling=TemperatureDifference.from_f(cool.assumed_df),
        assumed_citation=citation(cool.cite),
        nameplate_range=(
            TemperatureDifference.from_f(cool.lowest_df),
            TemperatureDifference.from_f(cool.highest_df),
        ),
        nameplate_citation=citation(cool.nameplate_cite),
        line_refrigerant=line.refrigerant,
        ounces_per_foot=line.ounces_per_foot,
        line_citation=citation(line.cite),
    )

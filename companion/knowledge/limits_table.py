"""Read ``limits.toml`` into the limits in force."""

from collections.abc import Callable, Mapping
from typing import Any

from pydantic import Field, RootModel

from companion.knowledge.limits import (
    LIMIT_TYPES,
    AirFlow,
    LimitNote,
    Limits,
    LimitValue,
    Seconds,
)
from companion.knowledge.quantities import (
    AbsolutePressure,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.tables import (
    CitationModel,
    Source,
    TableFault,
    TableModel,
    check_table,
    citation,
    unknown_sources,
)

FILE = "limits.toml"


class _Row(TableModel):
    value_psi: float | None = None
    value_df: float | None = None
    value_f: float | None = None
    value_s: float | None = Field(default=None, ge=0)
    value_micron: float | None = Field(default=None, gt=0)
    value_cfm_per_ton: float | None = Field(default=None, gt=0)
    why: str = Field(min_length=5)
    cite: CitationModel


class _File(RootModel[dict[str, _Row]]):
    """The whole of ``limits.toml``, by the name of the limit."""


_UNITS: dict[type, tuple[str, Callable[[float], LimitValue]]] = {
    PressureDifference: ("value_psi", PressureDifference.from_psi),
    TemperatureDifference: ("value_df", TemperatureDifference.from_f),
    Temperature: ("value_f", Temperature.from_f),
    Seconds: ("value_s", lambda value: Seconds(s=value)),
    AbsolutePressure: ("value_micron", AbsolutePressure.from_micron),
    AirFlow: ("value_cfm_per_ton", lambda value: AirFlow(cfm_per_ton=value)),
}


def read_limits(
    text: str, sources: Mapping[str, Source]
) -> Limits | tuple[TableFault, ...]:
    """Read the limits, or find everything that is wrong with their file.

    Parameters
    ----------
    text
        Text of ``limits.toml``.
    sources
        All sources by id.
    """
    found = check_table(FILE, text, _File)
    if isinstance(found, tuple):
        return found
    rows = found.root
    cited = {f"{name}.cite": row.cite for name, row in rows.items()}
    faults = [*unknown_sources(FILE, cited, sources), *_name_faults(rows)]
    values: dict[str, Any] = {}
    for name in LIMIT_TYPES.keys() & rows.keys():
        value = _value(name, rows[name])
        if isinstance(value, TableFault):
            faults.append(value)
        else:
            values[name] = value
    if faults:
        return tuple(faults)
    notes = {
        name: LimitNote(why=row.why, citation=citation(row.cite))
        for name, row in rows.items()
    }
    return Limits(**values, notes=notes)


def _name_faults(rows: Mapping[str, _Row]) -> list[TableFault]:
    known = LIMIT_TYPES.keys()
    missing = [(name, "the limit is missing", "add it") for name in known - rows.keys()]
    extra = [
        (name, "no such limit is known", f"known are: {', '.join(known)}")
        for name in rows.keys() - known
    ]
    return [
        TableFault(file=FILE, key=name, wrong=wrong, right=right)
        for name, wrong, right in sorted(missing + extra)
    ]


def _value(name: str, row: _Row) -> LimitValue | TableFault:
    due = LIMIT_TYPES[name]
    if not isinstance(due, type):
        raise TypeError(f"the limit {name!r} is declared with no plain type: {due!r}")
    key, make = _UNITS[due]
    given = [unit for unit, _ in _UNITS.values() if getattr(row, unit) is not None]
    if given != [key]:
        wrong = f"its value is given as {', '.join(given) or 'nothing'}"
        return TableFault(file=FILE, key=name, wrong=wrong, right=f"give {key} alone")
    return make(getattr(row, key))

"""Read ``refrigerants.toml`` into a catalogue, with its invariants checked."""

from collections import Counter
from collections.abc import Mapping
from typing import Literal, get_args

from pydantic import Field

from companion.knowledge.catalogue import (
    Catalogue,
    Kind,
    OutOfScope,
    OzoneClass,
    PureFluid,
    Refrigerant,
    SafetyGroup,
    Unsupported,
    build_catalogue,
)
from companion.knowledge.catalogue import Field as CitedField
from companion.knowledge.designations import designation_key
from companion.knowledge.quantities import Temperature, TemperatureDifference
from companion.knowledge.tables import (
    CitationModel,
    Source,
    TableFault,
    TableModel,
    check_table,
    citation,
    unknown_sources,
)

FILE = "refrigerants.toml"
MAKE_UP_TOLERANCE_PCT = 0.05  # make-ups are printed to 0.1 mass %
_STRICTER: dict[SafetyGroup, SafetyGroup] = {
    "A1": "A2L",
    "A2L": "A2",
    "A2": "A3",
    "A3": "A3",
    "B1": "B2L",
    "B2L": "B2",
    "B2": "B3",
    "B3": "B3",
}


class _RefrigerantRow(TableModel):
    designation: str = Field(pattern=r"^R-[0-9A-Z][0-9A-Za-z()]*$")
    tier: Literal[1, 2]
    kind: Kind
    mass_pct: dict[str, float]
    safety_group: SafetyGroup
    normal_bubble_c: float = Field(ge=-100, le=60)
    normal_dew_c: float = Field(ge=-100, le=60)
    gwp_ar4: float = Field(ge=0)
    gwp_ar5: float = Field(ge=0)
    odp: float = Field(ge=0)
    ozone_class: OzoneClass
    saturation_error_k: float = Field(gt=0, le=5)
    pressure_error_pct: float = Field(gt=0, le=20)
    cite: dict[CitedField, str]


class _OutOfScopeRow(TableModel):
    designation: str
    reason: str


class _FluidRow(TableModel):
    designation: str
    saturation_error_k: float = Field(gt=0, le=5)
    pressure_error_pct: float = Field(gt=0, le=20)
    cite: str


class _HighGlide(TableModel):
    value_df: float = Field(gt=0)
    cite: CitationModel


class _File(TableModel):
    high_glide: _HighGlide
    recognized: list[str]
    citations: dict[str, CitationModel]
    out_of_scope: list[_OutOfScopeRow]
    fluid: list[_FluidRow]
    refrigerant: list[_RefrigerantRow]


def read_catalogue(
    text: str, sources: Mapping[str, Source]
) -> Catalogue | tuple[TableFault, ...]:
    """Read the catalogue, or find everything that is wrong with its file.

    Parameters
    ----------
    text
        Text of ``refrigerants.toml``.
    sources
        All sources by id.
    """
    found = check_table(FILE, text, _File)
    if isinstance(found, tuple):
        return found
    cited = {f"citations.{name}": each for name, each in found.citations.items()}
    cited["high_glide.cite"] = found.high_glide.cite
    faults = [*unknown_sources(FILE, cited, sources), *_twice(found)]
    for row in found.refrigerant:
        faults += _row_faults(row, found.citations)
    faults += [
        TableFault(
            file=FILE,
            key=f"{row.designation}.cite",
            wrong=f"the citation {row.cite!r} is not known",
            right=f"use one of: {', '.join(found.citations)}",
        )
        for row in found.fluid
        if row.cite not in found.citations
    ]
    if faults:
        return tuple(faults)
    return build_catalogue(
        tuple(_record(row, found) for row in found.refrigerant),
        tuple(
            OutOfScope(designation=row.designation, why=row.reason)
            for row in found.out_of_scope
        ),
        (
            *(
                Unsupported(designation=row.designation, fluid=_fluid(row, found))
                for row in found.fluid
            ),
            *(Unsupported(designation=name) for name in found.recognized),
        ),
    )


def _twice(found: _File) -> list[TableFault]:
    names = [row.designation for row in found.refrigerant]
    names += [row.designation for row in found.out_of_scope]
    names += [row.designation for row in found.fluid]
    names += found.recognized
    counted = Counter(designation_key(name) for name in names)
    return [
        TableFault(
            file=FILE,
            key=name,
            wrong=f"the designation is listed {count} times",
            right="keep one of them",
        )
        for name, count in counted.items()
        if count > 1
    ]


def _row_faults(
    row: _RefrigerantRow, citations: Mapping[str, CitationModel]
) -> list[TableFault]:
    faults: list[TableFault] = []

    def fault(key: str, wrong: str, right: str) -> None:
        place = f"{row.designation}.{key}"
        faults.append(TableFault(file=FILE, key=place, wrong=wrong, right=right))

    total = sum(row.mass_pct.values())
    if abs(total - 100) > MAKE_UP_TOLERANCE_PCT:
        fault("mass_pct", f"the make-up sums to {total:g} %", "make it sum to 100")
    if (row.kind == "single") != (len(row.mass_pct) == 1):
        fault("kind", f"{row.kind} with {len(row.mass_pct)} components", "correct one")
    if row.normal_dew_c < row.normal_bubble_c - 0.05:
        fault("normal_dew_c", "lies below the bubble point", "correct one of the two")
    for name in _fields_to_cite(row):
        if name not in row.cite:
            fault(f"cite.{name}", "no citation for this value", "name one")
        elif row.cite[name] not in citations:
            wrong = f"the citation {row.cite[name]!r} is not known"
            fault(f"cite.{name}", wrong, f"use one of: {', '.join(citations)}")
    return faults


def _fluid(row: _FluidRow, found: _File) -> PureFluid:
    return PureFluid(
        designation=row.designation,
        saturation_error=TemperatureDifference(row.saturation_error_k),
        pressure_error_pct=row.pressure_error_pct,
        citation=citation(found.citations[row.cite]),
    )


def _fields_to_cite(row: _RefrigerantRow) -> list[CitedField]:
    fields: tuple[CitedField, ...] = get_args(CitedField)
    return [name for name in fields if name != "mass_pct" or row.kind != "single"]


def _record(row: _RefrigerantRow, found: _File) -> Refrigerant:
    cited = {name: citation(found.citations[key]) for name, key in row.cite.items()}
    certain = cited["safety_group"].mark == "read at source"
    glide = TemperatureDifference(row.normal_dew_c - row.normal_bubble_c)
    return Refrigerant(
        designation=row.designation,
        tier=row.tier,
        kind=row.kind,
        mass_pct=row.mass_pct,
        safety_group=row.safety_group,
        safety_group_certain=certain,
        caution_group=row.safety_group if certain else _STRICTER[row.safety_group],
        normal_bubble=Temperature.from_c(row.normal_bubble_c),
        normal_dew=Temperature.from_c(row.normal_dew_c),
        gwp_ar4=row.gwp_ar4,
        gwp_ar5=row.gwp_ar5,
        odp=row.odp,
        ozone_class=row.ozone_class,
        saturation_error=TemperatureDifference(row.saturation_error_k),
        pressure_error_pct=row.pressure_error_pct,
        high_glide=row.kind == "zeotrope" and glide.f > found.high_glide.value_df,
        citations=cited,
    )

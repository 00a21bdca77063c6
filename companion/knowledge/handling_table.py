"""Read ``handling.toml``, with its invariants checked."""

from collections.abc import Mapping
from typing import get_args

from pydantic import Field

from companion.knowledge.catalogue import Catalogue, Refrigerant
from companion.knowledge.handling import Handling, Key, Tolerance
from companion.knowledge.quantities import (
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
from companion.knowledge.working_shift import WorkingPoint

FILE = "handling.toml"


class _Value(TableModel):
    why: str = Field(min_length=1)
    cite: CitationModel


class _Degrees(_Value):
    value_f: float = Field(ge=0, le=200)


class _Difference(_Value):
    value_df: float = Field(gt=0, le=20)


class _Share(_Value):
    value_share: float = Field(gt=0, lt=1)


class _Density(_Value):
    value_kg_per_m3: float = Field(ge=990, le=1001)


class _Pressure(_Value):
    value_psi: float = Field(ge=100, le=1000)


class _ToleranceRow(TableModel):
    plus: list[float]
    minus: list[float]


class _Tolerances(TableModel):
    checked: list[str]
    cite: CitationModel
    of: dict[str, _ToleranceRow]


class _File(TableModel):
    suction_dew: _Degrees
    liquid_bubble: _Degrees
    leak_shift_max: _Difference
    standstill_level: _Share
    fill_share: _Share
    fill_reference: _Degrees
    not_liquid_full: _Degrees
    cylinder_hottest: _Degrees
    water_density: _Density
    gauge_hottest: _Degrees
    gauge_standard_max: _Pressure
    tolerance: _Tolerances


def read_handling(
    text: str, sources: Mapping[str, Source], catalogue: Catalogue
) -> Handling | tuple[TableFault, ...]:
    """Read the file, or find everything that is wrong with it.

    Parameters
    ----------
    text
        Text of ``handling.toml``.
    sources
        All sources by id.
    catalogue
        Each tolerance must fit the make-up of a refrigerant of it.
    """
    found = check_table(FILE, text, _File)
    if isinstance(found, tuple):
        return found
    keys: tuple[Key, ...] = get_args(Key)
    cites: dict[Key, CitationModel] = {key: getattr(found, key).cite for key in keys}
    cited = {f"{key}.cite": each for key, each in cites.items()}
    faults = (
        *unknown_sources(FILE, cited, sources),
        *_misfits(found.tolerance, catalogue),
    )
    if faults:
        return faults
    return Handling(
        working_point=WorkingPoint(
            suction_dew=Temperature.from_f(found.suction_dew.value_f),
            liquid_bubble=Temperature.from_f(found.liquid_bubble.value_f),
        ),
        leak_shift_max=TemperatureDifference.from_f(found.leak_shift_max.value_df),
        standstill_level=found.standstill_level.value_share,
        fill_share=found.fill_share.value_share,
        fill_reference=Temperature.from_f(found.fill_reference.value_f),
        not_liquid_full=Temperature.from_f(found.not_liquid_full.value_f),
        cylinder_hottest=Temperature.from_f(found.cylinder_hottest.value_f),
        water_density=found.water_density.value_kg_per_m3,
        gauge_hottest=Temperature.from_f(found.gauge_hottest.value_f),
        gauge_standard_max=PressureDifference.from_psi(
            found.gauge_standard_max.value_psi
        ),
        tolerances=_tolerances(found.tolerance),
        citations={key: citation(each) for key, each in cites.items()},
    )


def _tolerances(found: _Tolerances) -> dict[str, Tolerance]:
    return {
        name: Tolerance(
            plus=tuple(row.plus),
            minus=tuple(row.minus),
            checked=name in found.checked,
        )
        for name, row in found.of.items()
    }


def _misfits(found: _Tolerances, catalogue: Catalogue) -> list[TableFault]:
    faults = []
    for name, row in found.of.items():
        blend = catalogue.get(name)
        parts = len(blend.mass_pct) if isinstance(blend, Refrigerant) else 0
        if (
            not len(row.plus) == len(row.minus) == parts
            or min(row.plus + row.minus) < 0
        ):
            fault = TableFault(
                file=FILE,
                key=f"tolerance.of.{name}",
                wrong=f"not one excess and one lack for each of {parts} components",
                right="write one of each, zero or more, in the order of the make-up",
            )
            faults.append(fault)
    return faults

"""Read ``regulations.toml``."""

from collections.abc import Mapping

from companion.knowledge.quantities import Mass, Temperature
from companion.knowledge.regulations import Regulations, Rule
from companion.knowledge.tables import (
    CitationModel,
    Source,
    TableFault,
    TableModel,
    check_table,
    citation,
    unknown_sources,
)

FILE = "regulations.toml"


class _Gwp(TableModel):
    values: dict[str, float]
    cite: CitationModel


class _LeakCheck(TableModel):
    from_t: list[float]
    months: list[int]
    hermetic_below_t: float
    cite: CitationModel


class _Recheck(TableModel):
    least_hours: float
    most_months: int
    cite: CitationModel


class _LeakRate(TableModel):
    triggers_pct: dict[str, float]
    chronic_pct: float
    ods_from_lb: float
    hfc_from_lb: float
    hfc_gwp_above: float
    cite: CitationModel


class _Records(TableModel):
    us_years: int
    eu_years: int
    cite: CitationModel


class _Heat(TableModel):
    bands_f: list[float]
    cite: CitationModel


class _Retest(TableModel):
    years: int
    cite: CitationModel


class _LeakTest(TableModel):
    share: float
    detector_g_per_year: float
    cite: CitationModel


class _File(TableModel):
    leak_test: _LeakTest
    gwp: _Gwp
    leak_check: _LeakCheck
    recheck: _Recheck
    leak_rate: _LeakRate
    records: _Records
    heat: _Heat
    retest: _Retest


def read_regulations(
    text: str, sources: Mapping[str, Source]
) -> Regulations | tuple[TableFault, ...]:
    """Read the rules, or find everything that is wrong with their file.

    Parameters
    ----------
    text
        Text of ``regulations.toml``.
    sources
        All sources by id.
    """
    found = check_table(FILE, text, _File)
    if isinstance(found, tuple):
        return found
    cites: dict[Rule, CitationModel] = {
        "gwp": found.gwp.cite,
        "leak_check": found.leak_check.cite,
        "recheck": found.recheck.cite,
        "leak_rate": found.leak_rate.cite,
        "records": found.records.cite,
        "heat": found.heat.cite,
        "retest": found.retest.cite,
        "leak_test": found.leak_test.cite,
    }
    cited = {f"{name}.cite": cite for name, cite in cites.items()}
    faults = (*unknown_sources(FILE, cited, sources), *_shape(found))
    if faults:
        return faults
    rate = found.leak_rate
    return Regulations(
        gwp=found.gwp.values,
        check_from_t=tuple(found.leak_check.from_t),
        check_months=tuple(found.leak_check.months),
        hermetic_below_t=found.leak_check.hermetic_below_t,
        recheck_least_hours=found.recheck.least_hours,
        recheck_most_months=found.recheck.most_months,
        triggers_pct=rate.triggers_pct,
        chronic_pct=rate.chronic_pct,
        ods_from=Mass.from_lb(rate.ods_from_lb),
        hfc_from=Mass.from_lb(rate.hfc_from_lb),
        hfc_gwp_above=rate.hfc_gwp_above,
        us_years=found.records.us_years,
        eu_years=found.records.eu_years,
        heat_bands=tuple(Temperature.from_f(each) for each in found.heat.bands_f),
        retest_years=found.retest.years,
        leak_test_share=found.leak_test.share,
        detector_g_per_year=found.leak_test.detector_g_per_year,
        citations={name: citation(cite) for name, cite in cites.items()},
    )


def _shape(found: _File) -> tuple[TableFault, ...]:
    wrong = []
    steps = found.leak_check
    if len(steps.from_t) != len(steps.months) or sorted(steps.from_t) != steps.from_t:
        wrong.append(("leak_check", "one rising step for each number of months"))
    bands = found.heat.bands_f
    if len(bands) != 3 or sorted(set(bands)) != bands:  # three bounds of four levels
        wrong.append(("heat.bands_f", "three rising temperatures"))
    return tuple(
        TableFault(file=FILE, key=key, wrong="the steps do not fit", right=right)
        for key, right in wrong
    )

"""What the rules of law count by: leak rates, CO2 equivalents, intervals and years kept.

The sums are here to remind and to fill a record; the rules in force go first. A leak
rate is worked out for every unit as a trend, and held against a trigger only where the
rule reaches: in the United States not for split and packaged air conditioners of homes
and small businesses, to which the ban on venting and the certificates still apply.

References
----------
Regulation (EU) 2024/573; 40 CFR 82.152, 82.157 and 84.106; 49 CFR 180.209; the heat
index guide of the Occupational Safety and Health Administration. See ``sources.toml``.
"""

from calendar import monthrange
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from companion.knowledge.quantities import Mass, Temperature
from companion.knowledge.tables import Citation

Rule = Literal[
    "gwp",
    "leak_check",
    "recheck",
    "leak_rate",
    "records",
    "heat",
    "retest",
    "leak_test",
]
Use = Literal["comfort-cooling", "commercial-refrigeration", "industrial-process"]
Equipment = Literal["light-commercial", "chiller", "other"]
"""``light-commercial``: split, packaged and window units of homes and small businesses."""
HeatLevel = Literal["lower", "moderate", "high", "very-high"]
DAYS_A_YEAR = 365
MONTHS_A_YEAR = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Regulations:
    """Everything of ``regulations.toml``; see there for meanings and units."""

    gwp: Mapping[str, float]
    check_from_t: tuple[float, ...]
    check_months: tuple[int, ...]
    hermetic_below_t: float
    recheck_least_hours: float
    recheck_most_months: int
    triggers_pct: Mapping[str, float]
    chronic_pct: float
    ods_from: Mass
    hfc_from: Mass
    hfc_gwp_above: float
    us_years: int
    eu_years: int
    heat_bands: tuple[Temperature, ...]
    retest_years: int
    leak_test_share: float
    detector_g_per_year: float
    citations: Mapping[Rule, Citation]


def gwp_by_mass(rules: Regulations, mass_pct: Mapping[str, float]) -> float | None:
    """Give a make-up's warming potential, or None where a component is not listed."""
    if not mass_pct.keys() <= rules.gwp.keys():
        return None
    return sum(pct / 100 * rules.gwp[name] for name, pct in mass_pct.items())


def co2e_t(charge: Mass, gwp: float) -> float:
    """Give what a charge counts as [t of CO2 equivalent]."""
    return charge.kg * gwp / 1000


def leak_check_months(
    rules: Regulations, tonnes: float, *, detection: bool, hermetic: bool
) -> int | None:
    """Give the months between leak checks, or None where none is asked for.

    Parameters
    ----------
    rules
        The steps.
    tonnes
        Charge [t of CO2 equivalent], 0 or more.
    detection
        Whether a leak detection system is fitted; it doubles the interval.
    hermetic
        Whether the unit is hermetically sealed and labeled so.
    """
    steps = zip(rules.check_from_t, rules.check_months, strict=True)
    due = [months for least, months in steps if tonnes >= least]
    if not due or (hermetic and tonnes < rules.hermetic_below_t):
        return None
    return due[-1] * (2 if detection else 1)


def leak_rate_annualized(added: Mass, full: Mass, days: int) -> float:
    """Give the leak rate [% a year] from one addition and the time since the last.

    Raises
    ------
    ValueError
        If the full charge or the days are not above zero, or the addition is negative.
    """
    if full.kg <= 0 or days <= 0 or added.kg < 0:
        raise ValueError("a leak rate needs a full charge and days above zero")
    return added.kg / full.kg * (DAYS_A_YEAR / min(days, DAYS_A_YEAR)) * 100


def leak_rate_rolling(added: Sequence[Mass], full: Mass) -> float:
    """Give the leak rate [% a year] from everything added in the past 365 days.

    Raises
    ------
    ValueError
        If the full charge is not above zero, or an addition is negative.
    """
    if full.kg <= 0 or any(each.kg < 0 for each in added):
        raise ValueError("a leak rate needs a full charge above zero")
    return sum(each.kg for each in added) / full.kg * 100


def leak_rate_over(rules: Regulations, rate_pct: float, use: Use) -> bool:
    """Tell whether a leak rate exceeds the trigger of its use."""
    return rate_pct > rules.triggers_pct[use] + 1e-9


def leak_rate_covered(
    rules: Regulations, *, ozone: bool, gwp: float, full: Mass, equipment: Equipment
) -> bool:
    """Tell whether the leak-rate rule of the United States reaches an appliance.

    Parameters
    ----------
    rules
        Thresholds.
    ozone
        Whether the refrigerant depletes ozone.
    gwp
        Its warming potential.
    full
        Full charge.
    equipment
        What the appliance is.
    """
    edge = 1 - 1e-9  # "or more", through conversions
    if ozone:
        return full.kg >= rules.ods_from.kg * edge
    if equipment == "light-commercial" or gwp <= rules.hfc_gwp_above:
        return False
    return full.kg >= rules.hfc_from.kg * edge


def chronic_leak(rules: Regulations, added: Mass, full: Mass) -> bool:
    """Tell whether a calendar year's additions make a chronic leak, to be reported."""
    return added.kg >= rules.chronic_pct / 100 * full.kg * (1 - 1e-9)


def heat_level(rules: Regulations, heat_index: Temperature) -> HeatLevel:
    """Give how dangerous a heat index is to a person at work."""
    moderate, high, very_high = rules.heat_bands
    if heat_index.k < moderate.k - 1e-6:
        return "lower"
    if heat_index.k <= high.k + 1e-6:
        return "moderate"
    return "high" if heat_index.k <= very_high.k + 1e-6 else "very-high"


def retest_due(year: int, month: int, years: int) -> tuple[int, int]:
    """Give year and month until which a cylinder tested then may be filled.

    Raises
    ------
    ValueError
        If the month is none, or the years are not above zero.
    """
    if not 1 <= month <= MONTHS_A_YEAR or years <= 0:
        raise ValueError("a retest date is a month from 1 to 12 and a year")
    return year + years, month


def recheck_window(rules: Regulations, repaired: datetime) -> tuple[datetime, date]:
    """Give when a repaired leak may be looked at again, and the last day for it.

    Parameters
    ----------
    rules
        The least running time and the most months.
    repaired
        When the repair ended; the unit runs from then on.
    """
    months = repaired.month - 1 + rules.recheck_most_months
    year, month = repaired.year + months // MONTHS_A_YEAR, months % MONTHS_A_YEAR + 1
    last_of_month = monthrange(year, month)[1]
    last = date(year, month, min(repaired.day, last_of_month))
    return repaired + timedelta(hours=rules.recheck_least_hours), last

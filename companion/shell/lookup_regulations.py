"""The look-ups of what the rules count by: leak rate, CO2 equivalent, heat, retest."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, get_args

from companion.knowledge.fault_signs import FILE as SIGNS
from companion.knowledge.fault_signs import Moved, Reading, rank, read_fault_signs
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Mass, PressureDifference
from companion.knowledge.regulations import (
    Equipment,
    Use,
    chronic_leak,
    co2e_t,
    gwp_by_mass,
    heat_level,
    leak_check_months,
    leak_rate_annualized,
    leak_rate_covered,
    leak_rate_over,
    leak_rate_rolling,
    recheck_window,
    retest_due,
)
from companion.knowledge.tables import TableError
from companion.shell.knowledge_files import read_data_file
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_refrigerant,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import (
    absolute_pressure,
    ambient,
    choice,
    mass,
    temperature,
)

_STAMP = re.compile(r"\s*(\d{1,2})\s*[-/]\s*(\d{2}|\d{4})\s*\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakRateArguments:
    """The arguments as typed; None where left out.

    ``added`` is one mass or several with commas between; with ``days`` since the last
    addition the rate is annualized, without them everything added in the past year
    counts.
    """

    added: str
    full: str
    days: str | None = None
    use: str | None = None
    refrigerant: str | None = None
    equipment: str | None = None


def look_up_leak_rate(knowledge: Knowledge, given: LeakRateArguments) -> Answer:
    """Work out a leak rate, and hold it against the trigger of its use.

    Raises
    ------
    LookupUsage
        If an argument is missing or of the wrong kind.
    """
    rules = knowledge.regulations
    added = [mass("--added", each) for each in given.added.split(",")]
    full = mass("--full", given.full)
    use: Use = choice("--use", given.use, get_args(Use)) or "comfort-cooling"
    total = Mass(sum(each.kg for each in added))
    try:
        if given.days is None:
            rate, way = leak_rate_rolling(added, full), "rolling"
        else:
            rate = leak_rate_annualized(total, full, _days(given.days))
            way = "annualizing"
    except ValueError as error:
        raise LookupUsage(str(error)) from error
    over = leak_rate_over(rules, rate, use)
    json: dict[str, Any] = {
        "rate_pct": shown(rate),
        "method": way,
        "use": use,
        "trigger_pct": rules.triggers_pct[use],
        "over": over,
        "chronic": chronic_leak(rules, total, full),
        "keep_years": rules.us_years,
        "source": source_text(knowledge, rules.citations["leak_rate"]),
    }
    text = f"{rate:.2f} % a year, {'over' if over else 'not over'} the trigger of "
    text += f"{rules.triggers_pct[use]:g} % for {use}."
    if given.refrigerant is not None:
        covered = _covered(knowledge, given, full)
        json["covered"] = covered
        text += (
            " The rule reaches this appliance."
            if covered
            else " The rule does not reach this appliance: the rate is a trend; venting "
            "stays banned, and only certified persons may work on it."
        )
    return Answer(json=json, text=text)


def _days(text: str) -> int:
    try:
        return int(text.strip().lower().removesuffix("days").removesuffix("d"))
    except ValueError as error:
        raise LookupUsage(f"--days takes whole days, not {text!r}") from error


def _covered(knowledge: Knowledge, given: LeakRateArguments, full: Mass) -> bool:
    found = find_refrigerant(knowledge, given.refrigerant or "")
    equipment: Equipment | None = choice(
        "--equipment", given.equipment, get_args(Equipment)
    )
    return leak_rate_covered(
        knowledge.regulations,
        ozone=found.ozone_class != "none",
        gwp=found.gwp_ar4,
        full=full,
        equipment=equipment or "other",
    )


def look_up_co2e(
    knowledge: Knowledge,
    designation: str,
    *,
    charge: str | None = None,
    detection: bool = False,
    hermetic: bool = False,
) -> Answer:
    """Give what a charge counts as, and how often it is to be checked in the EU.

    Raises
    ------
    LookupUsage
        If the charge is no mass.
    LookupRefusal
        If the refrigerant is refused, or a component has no listed potential.
    """
    rules, found = knowledge.regulations, find_refrigerant(knowledge, designation)
    gwp = gwp_by_mass(rules, found.mass_pct)
    if gwp is None:
        raise LookupRefusal(
            "no-table",
            f"a component of {found.designation} has no potential in our copy of the "
            "regulation's annexes; look it up there",
        )
    json: dict[str, Any] = {
        "refrigerant": found.designation,
        "gwp": shown(gwp),
        "charge_of_5t_kg": shown(rules.check_from_t[0] * 1000 / gwp),
        "source": source_text(knowledge, rules.citations["gwp"]),
    }
    text = f"{found.designation}: warming potential {gwp:.1f}."
    if charge is not None:
        tonnes = co2e_t(mass("--charge", charge), gwp)
        months = leak_check_months(
            rules, tonnes, detection=detection, hermetic=hermetic
        )
        json |= {
            "t_co2e": shown(tonnes),
            "check_months": months,
            "recheck_least_hours": rules.recheck_least_hours,
            "recheck_most_months": rules.recheck_most_months,
            "keep_years": rules.eu_years,
            "check_source": source_text(knowledge, rules.citations["leak_check"]),
        }
        asked = (
            "no leak check is asked for"
            if months is None
            else f"a leak check every {months} months"
        )
        text += f" The charge counts as {tonnes:.2f} t of CO2: {asked} in the EU."
    return Answer(json=json, text=text)


def look_up_heat(knowledge: Knowledge, index: str) -> Answer:
    """Give how dangerous a heat index is; LookupUsage if it is no temperature."""
    rules = knowledge.regulations
    level = heat_level(rules, temperature("INDEX", index))
    json = {"level": level, "source": source_text(knowledge, rules.citations["heat"])}
    return Answer(json=json, text=f"Heat: {level}. Water every 15 to 20 minutes.")


def look_up_retest(
    knowledge: Knowledge, stamp: str, *, years: int | None = None
) -> Answer:
    """Give until when a cylinder tested at a stamped month may be filled.

    Raises
    ------
    LookupUsage
        If the stamp is no month and year.
    """
    rules = knowledge.regulations
    found = _STAMP.match(stamp)
    if found is None:
        raise LookupUsage(
            f"the stamp is a month and a year such as 03-21, not {stamp!r}"
        )
    month, year = int(found[1]), int(found[2])
    try:
        due_year, due_month = retest_due(
            year + (2000 if year < 100 else 0),  # two digits of a year
            month,
            years or rules.retest_years,
        )
    except ValueError as error:
        raise LookupUsage(str(error)) from error
    due = f"{due_month:02d}-{due_year}"
    json = {"due": due, "source": source_text(knowledge, rules.citations["retest"])}
    return Answer(json=json, text=f"Due {due}; never fill a cylinder past it.")


def look_up_recheck(knowledge: Knowledge, repaired: str) -> Answer:
    """Give when a repaired leak is to be looked at again in the EU.

    Raises
    ------
    LookupUsage
        If it is no date and time.
    """
    rules = knowledge.regulations
    try:
        at = datetime.fromisoformat(repaired)
    except ValueError as error:
        raise LookupUsage(
            f"write the end of the repair as 2026-06-01T12:00, not {repaired!r}"
        ) from error
    first, last = recheck_window(rules, at)
    json = {
        "not_before": first.isoformat(timespec="minutes"),
        "not_after": last.isoformat(),
        "source": source_text(knowledge, rules.citations["recheck"]),
    }
    text = f"Look again not before {json['not_before']} and not after {last}."
    return Answer(json=json, text=text)


def look_up_leak_test(knowledge: Knowledge, allowable: str) -> Answer:
    """Give the least pressure of a leak test with dry nitrogen.

    Raises
    ------
    LookupUsage
        If it is no pressure.
    """
    rules = knowledge.regulations
    found = absolute_pressure("--allowable", allowable, ambient("0ft"))
    least = found.pa * rules.leak_test_share
    json = {
        "least_mpa": shown(least / 1e6),
        "least_psi": shown(PressureDifference(least).psi),
        "never_above_mpa": shown(found.pa / 1e6),
        "detector_g_per_year": rules.detector_g_per_year,
        "gas": "dry oxygen-free nitrogen",
        "source": source_text(knowledge, rules.citations["leak_test"]),
    }
    text = (
        f"At least {least / 1e6:.2f} MPa ({json['least_psi']:.0f} psi) of dry nitrogen, "
        f"never above {found.pa / 1e6:.2f} MPa, never oxygen or air, and no leak for a "
        f"detector of {rules.detector_g_per_year:g} g a year."
    )
    return Answer(json=json, text=text)


def look_up_signs(knowledge: Knowledge, seen: Mapping[str, str | None]) -> Answer:
    """Rank the faults of a unit with a fixed orifice by how its readings have moved.

    Raises
    ------
    LookupUsage
        If nothing is given, or a sign is neither up nor down.
    TableError
        If the table is broken.
    """
    table = read_fault_signs(read_data_file(SIGNS), knowledge.sources)
    if isinstance(table, list):
        raise TableError(table)
    moved: dict[Reading, Moved] = {}
    for name in get_args(Reading):
        found = choice(f"--{name}", seen.get(name), ("high", "low", "normal"))
        if found in ("high", "low"):
            moved[name] = "+" if found == "high" else "-"
    if not moved:
        raise LookupUsage("give at least one reading as high or low")
    fits = rank(table, moved)
    json = {
        "fault": fits[0].fault.fault,
        "faults": [
            {
                "fault": fit.fault.fault,
                "agree": list(fit.agree),
                "contradict": list(fit.contradict),
                "signs": {str(name): str(way) for name, way in fit.fault.signs.items()},
                "source": source_text(knowledge, fit.fault.citation),
            }
            for fit in fits
        ],
    }
    text = "\n".join(
        f"{fit.fault.fault}: {len(fit.agree)} signs agree, "
        f"{len(fit.contradict)} contradict"
        for fit in fits
    )
    return Answer(json=json, text=text)

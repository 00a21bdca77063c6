"""The look-ups of what the rules count by: leak rate, CO2 equivalent, heat, retest."""

import re
from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Mass
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
    retest_due,
)
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_refrigerant,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import choice, mass, temperature

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

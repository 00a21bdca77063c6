"""The look-up of the charge of a unit with its line set, and what the scale must give."""

from dataclasses import dataclass
from typing import Any

from companion.knowledge.line_charge import (
    LineCharge,
    line_charge,
    plate_charge,
    table_kg_per_m,
)
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import M_PER_FT, Mass
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_refrigerant,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import length, mass
from companion.shell.lookup_evacuation import tube_masses

HOSE_BORE = "1/4in"
"""Usual inner diameter of a charging hose."""
HOSE_TEMPERATURE = "75F"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeArguments:
    """The arguments as typed; None where left out.

    The mass per length comes from the plate (``per_foot``), or by the ``line`` from the
    table; what the factory charge covers is a length (``included``) or a mass
    (``allowance``).
    """

    nameplate: str
    length: str
    line: str | None = None
    per_foot: str | None = None
    included: str | None = None
    allowance: str | None = None
    accessories: str | None = None
    refrigerant: str | None = None
    hose: str | None = None
    hose_bore: str = HOSE_BORE
    hose_temperature: str = HOSE_TEMPERATURE


def look_up_target_charge(knowledge: Knowledge, given: ChargeArguments) -> Answer:
    """Give the charge of a unit with its liquid line, and what leaves the cylinder.

    Raises
    ------
    LookupUsage
        If an argument is missing, of the wrong kind, or not in the table.
    LookupRefusal
        If the table is for another refrigerant.
    """
    refrigerant = _refrigerant(knowledge, given)
    try:
        found = _charge(knowledge, given)
    except LookupUsage:
        raise
    except ValueError as error:
        raise LookupUsage(str(error)) from error
    extra = Mass(0)
    if given.accessories is not None:
        extra = mass("--accessories", given.accessories)
    total = found.total + extra
    json: dict[str, Any] = {
        "charge_kg": shown(total.kg),
        "adder_kg": shown(found.adder.kg),
        "charge_oz": shown(total.oz),
        "adder_oz": shown(found.adder.oz),
        "refrigerant": refrigerant,
        "source": source_text(knowledge, found.citation),
    }
    named = f", for {refrigerant}" if refrigerant else ""
    text = (
        f"Charge {total.oz:.1f} oz ({total.kg:.2f} kg), of which {found.adder.oz:.1f} oz "
        f"for the line{named}. Where the unit's plate gives another figure, the plate "
        "rules."
    )
    if found.shorter:
        text += " The line is shorter than included: follow the maker's own table."
    if given.hose is not None:
        text += _hose(knowledge, given, refrigerant, total, json)
    return Answer(json=json, text=text)


def _refrigerant(knowledge: Knowledge, given: ChargeArguments) -> str | None:
    due = knowledge.targets.line_refrigerant
    named = None
    if given.refrigerant is not None:
        named = find_refrigerant(knowledge, given.refrigerant).designation
    if given.per_foot is not None:
        return named
    if named not in (None, due):
        raise LookupRefusal(
            "no-table",
            f"the mass per length of line is known for {due} only, not for "
            f"{named}; give the figure on the unit's plate as --per-foot",
        )
    return due


def _charge(knowledge: Knowledge, given: ChargeArguments) -> LineCharge:
    nameplate = mass("--nameplate", given.nameplate)
    run = length("--length", given.length)
    if (given.per_foot is None) == (given.line is None):
        raise LookupUsage("give either --line, or --per-foot from the unit's plate")
    if (given.included is None) == (given.allowance is None):
        raise LookupUsage("give either --included or --allowance, from the plate")
    if given.line is not None and given.included is not None:
        included = length("--included", given.included)
        line = _inches(given.line)
        return line_charge(knowledge.targets, nameplate, line, run, included)
    if given.line is not None:
        kg_per_m = table_kg_per_m(knowledge.targets, _inches(given.line))
    else:
        kg_per_m = mass("--per-foot", given.per_foot or "").kg / M_PER_FT
    if given.included is not None:
        covered = Mass(kg_per_m * length("--included", given.included).m)
    else:
        covered = mass("--allowance", given.allowance or "")
    return plate_charge(nameplate, kg_per_m, run, covered)


def _inches(line: str) -> str:
    return line.strip().lower().removesuffix("in").rstrip('" ')


def _hose(
    knowledge: Knowledge,
    given: ChargeArguments,
    refrigerant: str | None,
    total: Mass,
    json: dict[str, Any],
) -> str:
    """Add what stays in the charging hose, which the scale gives and the unit lacks."""
    if refrigerant is None:
        raise LookupUsage("--hose needs --refrigerant")
    liquid, vapor = tube_masses(
        knowledge,
        refrigerant,
        given.hose_bore,
        given.hose or "",
        given.hose_temperature,
    )
    leaves = total + liquid
    json |= {
        "hose_kg": shown(liquid.kg),
        "hose_oz": shown(liquid.oz),
        "hose_vapor_kg": round(vapor.kg, 6),
        "leaves_cylinder_kg": shown(leaves.kg),
        "leaves_cylinder_oz": shown(leaves.oz),
    }
    return (
        f" The hose keeps {liquid.oz:.1f} oz of liquid, so {leaves.oz:.1f} oz must leave "
        "the cylinder, unless the hose is drawn empty afterwards."
    )

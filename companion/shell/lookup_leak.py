"""The look-up of what a leak leaves in a unit, and whether to top up."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import EquilibriumError
from companion.knowledge.fixed_volume import LiquidFull
from companion.knowledge.leak import LeakOutcome, leak
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Volume
from companion.shell.blend_model import (
    by_component,
    fill,
    in_words,
    mass_at_level,
    no_answer,
    open_equilibrium,
    too_full,
)
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_refrigerant,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import choice, fraction, temperature
from companion.shell.lookup_withdrawal import (
    USUAL_TEMPERATURE,
    shift_json,
    shift_text,
    tolerance_json,
)

ROOM = Volume(0.01)  # only its share of liquid matters


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakArguments:
    """The arguments as typed; None where left out.

    ``what`` is what leaked, liquid or vapor; ``level`` is the share of the unit's inner
    volume that was liquid, at rest and before the leak.
    """

    designation: str
    lost: str
    what: str
    temperature: str = USUAL_TEMPERATURE
    level: str | None = None


def look_up_leak(knowledge: Knowledge, arguments: LeakArguments) -> Answer:
    """Say what a leak at standstill has left, and whether to top up or recover.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, nothing is left, or there is no liquid at the
        temperature.
    """
    found = find_refrigerant(knowledge, arguments.designation)
    what = choice("--as", arguments.what, get_args(Draw))
    if what is None:
        raise LookupUsage("give --as liquid or --as vapor")
    lost = fraction("--lost", arguments.lost)
    if lost == 1:
        raise LookupRefusal(
            "empty", "--lost: nothing is left to top up; evacuate and weigh in"
        )
    level = knowledge.handling.standstill_level
    if arguments.level is not None:
        level = fraction("--level", arguments.level)
    at = temperature("--temperature", arguments.temperature)
    equilibrium = open_equilibrium(knowledge, found, at)
    try:
        charge = mass_at_level(equilibrium, found, ROOM, at, level)
        filling = fill(found, charge, ROOM, at)
        outcome = leak(equilibrium, filling, lost, what, knowledge.handling)
    except EquilibriumError as error:
        raise no_answer(error) from error
    if isinstance(outcome, LiquidFull):
        raise too_full(found.designation, at, outcome.over)
    json = _json(knowledge, found, outcome)
    json |= {"lost": shown(lost), "as": what, "temperature_c": shown(at.c)}
    json["level_before"] = shown(level)
    return Answer(json=json, text=_text(found, outcome, json))


def _json(
    knowledge: Knowledge, found: Refrigerant, outcome: LeakOutcome
) -> dict[str, Any]:
    names = tuple(found.mass_pct)
    now = shift_json(outcome.shift_now)
    return {
        "refrigerant": found.designation,
        "left": by_component(names, outcome.left),
        "after_top_up": by_component(names, outcome.after_top_up),
        "advice": outcome.advice,
        "reason": outcome.reason,
        "threshold_k": shown(knowledge.handling.leak_shift_max.k),
        "threshold_source": source_text(
            knowledge, knowledge.handling.citations["leak_shift_max"]
        ),
        "pressure_kpa_abs": shown(outcome.pressure_pa / 1000),
        **{f"{key}_before_top_up": value for key, value in now.items()},
        **shift_json(outcome.shift_after),
        **tolerance_json(knowledge, found, {"after_top_up": outcome.after_top_up}),
        "saturation_error_k": shown(found.saturation_error.k),
    }


def _text(found: Refrigerant, outcome: LeakOutcome, json: Mapping[str, Any]) -> str:
    names = tuple(found.mass_pct)
    do = {"top-up": "Top up as liquid", "recover": "Recover, evacuate and weigh in"}
    lines = [
        f"{do[outcome.advice]}: {outcome.reason}.",
        f"Left in the unit: {in_words(names, outcome.left)}.",
        f"After a top-up: {in_words(names, outcome.after_top_up)}.",
    ]
    if outcome.shift_after is not None and found.kind != "single":
        lines.append(shift_text(json))
        lines.append(
            "This counts from a charge by the label; earlier losses add to it."
        )
    return "\n".join(lines)

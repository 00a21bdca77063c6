"""The look-up of what drawing from a cylinder does to a blend."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.draw_down import DrawDown, DrawPoint, draw_down
from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import Equilibrium, EquilibriumError
from companion.knowledge.fixed_volume import Filling, LiquidFull
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Temperature
from companion.knowledge.working_shift import WorkingShift, working_shift
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
from companion.shell.lookup_arguments import choice, fraction, mass, temperature, volume

USUAL_VOLUME = "12L"
USUAL_TEMPERATURE = "25C"


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawalArguments:
    """The arguments as typed; None where left out.

    ``net`` is the mass before drawing; left out, the cylinder is filled by the rule.
    ``onto`` is what the unit held by its label before it got what was drawn.
    """

    designation: str
    draw: str
    fraction: str
    temperature: str = USUAL_TEMPERATURE
    volume: str = USUAL_VOLUME
    net: str | None = None
    onto: str | None = None
    plot: str | None = None


def look_up_withdrawal(knowledge: Knowledge, arguments: WithdrawalArguments) -> Answer:
    """Say what leaves a cylinder, what stays, and what it does to the unit.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, the filling cannot be, or there is no liquid at
        the temperature.
    """
    found = find_refrigerant(knowledge, arguments.designation)
    draw = choice("--draw", arguments.draw, get_args(Draw))
    if draw is None:
        raise LookupUsage("give --draw liquid or --draw vapor")
    share = fraction("--fraction", arguments.fraction)
    at = temperature("--temperature", arguments.temperature)
    equilibrium = open_equilibrium(knowledge, found, at)
    try:
        filling = _filling(knowledge, found, equilibrium, arguments, at)
        drawn = draw_down(equilibrium, filling, draw, share)
        if isinstance(drawn, LiquidFull):
            raise too_full(found.designation, at, drawn.over)
        json = _json(knowledge, found, equilibrium, drawn, arguments.onto)
        if arguments.plot is not None:
            whole = draw_down(equilibrium, filling, draw)
            if isinstance(whole, DrawDown):
                json["plot"] = _plotted(found, whole, arguments.plot)
    except EquilibriumError as error:
        raise no_answer(error) from error
    return Answer(json=json, text=_text(found, drawn, json))


def _filling(
    knowledge: Knowledge,
    found: Refrigerant,
    equilibrium: Equilibrium,
    arguments: WithdrawalArguments,
    at: Temperature,
) -> Filling:
    room = volume("--volume", arguments.volume)
    if room.m3 <= 0:
        raise LookupRefusal("impossible", "--volume: nothing fits into no volume")
    if arguments.net is None:
        handling = knowledge.handling
        net = mass_at_level(
            equilibrium, found, room, handling.fill_reference, handling.fill_share
        )
    else:
        net = mass("--net", arguments.net)
        if net.kg <= 0:
            raise LookupRefusal(
                "impossible", f"--net: {net.kg:g} kg cannot be drawn from; weigh again"
            )
    return fill(found, net, room, at)


def _json(
    knowledge: Knowledge,
    found: Refrigerant,
    equilibrium: Equilibrium,
    drawn: DrawDown,
    onto: str | None,
) -> dict[str, Any]:
    end, names = drawn.end, drawn.filling.components
    unit = _in_unit(drawn, onto)
    point = knowledge.handling.working_point
    shift = working_shift(equilibrium, drawn.filling.mass_pct, unit, point)
    return {
        "refrigerant": found.designation,
        "draw": drawn.draw,
        "fraction": end.fraction,
        "temperature_c": shown(Temperature(drawn.filling.t_k).c),
        "leaving": by_component(names, end.leaving),
        "left_liquid": by_component(names, end.left_liquid),
        "left_vapor": by_component(names, end.left_vapor),
        "left": by_component(names, end.left),
        "delivered_mean": by_component(names, end.delivered),
        "in_unit": by_component(names, unit),
        "pressure_kpa_abs": shown(end.pressure_pa / 1000),
        "net_at_start_kg": shown(drawn.filling.mass_kg),
        "liquid_kg": shown(end.liquid_kg),
        "vapor_kg": shown(end.vapor_kg),
        "liquid_gone_at_fraction": drawn.liquid_gone
        if drawn.liquid_gone is None
        else shown(drawn.liquid_gone),
        **shift_json(shift),
        **tolerance_json(knowledge, found, _judged(end)),
        "saturation_error_k": shown(found.saturation_error.k),
    }


def _in_unit(drawn: DrawDown, onto: str | None) -> tuple[float, ...]:
    """Give the make-up [mass %] of a unit that got all that was drawn."""
    got = drawn.end.fraction * drawn.filling.mass_kg
    held = 0.0 if onto is None else mass("--onto", onto).kg
    if held < 0:
        raise LookupRefusal("impossible", f"--onto: {held:g} kg is below zero")
    if got + held <= 0:
        return drawn.end.delivered
    pairs = zip(drawn.end.delivered, drawn.filling.mass_pct, strict=True)
    return tuple((got * new + held * label) / (got + held) for new, label in pairs)


def _judged(end: DrawPoint) -> Mapping[str, tuple[float, ...]]:
    """Give the make-ups that must be right: what is used, and what is kept for use."""
    judged = {"leaving": end.leaving, "delivered_mean": end.delivered}
    if end.left_liquid is not None:
        judged["left_liquid"] = end.left_liquid
    return judged


def shift_json(shift: WorkingShift | None) -> dict[str, Any]:
    """Give what a make-up does to the working points, as answers print it."""
    return {
        "dew_shift_k": None if shift is None else shown(shift.dew.k),
        "bubble_shift_k": None if shift is None else shown(shift.bubble.k),
    }


def tolerance_json(
    knowledge: Knowledge,
    found: Refrigerant,
    judged: Mapping[str, tuple[float, ...]],
) -> dict[str, Any]:
    """Compare make-ups with the standard's tolerances, and say how sure those are."""
    if found.kind == "single":
        why = "a single substance has no make-up to drift"
        return {"within_tolerance": True, "tolerance_note": why}
    tolerance = knowledge.handling.tolerances.get(found.designation)
    if tolerance is None:
        why = f"no composition tolerance of {found.designation} is known here"
        return {"within_tolerance": None, "tolerance_note": why}
    label = tuple(found.mass_pct.values())
    each = {name: tolerance.holds(label, pct) for name, pct in judged.items()}
    names = tuple(found.mass_pct)
    cite = knowledge.handling.citations["tolerance"]
    return {
        "within_tolerance": all(each.values()),
        "tolerance_of": each,
        "tolerance_plus": by_component(names, tolerance.plus),
        "tolerance_minus": by_component(names, tolerance.minus),
        "tolerance_source": source_text(knowledge, cite),
        "tolerance_note": "the tolerance is from memory"
        + ("; sums with it agree with others" if tolerance.checked else ""),
    }


def _plotted(found: Refrigerant, whole: DrawDown, path: str) -> str:
    from companion.shell.plots import plot_draw_down

    return plot_draw_down(found.designation, whole, Path(path))


def _text(found: Refrigerant, drawn: DrawDown, json: Mapping[str, Any]) -> str:
    end, names = drawn.end, drawn.filling.components
    lines = [
        f"{found.designation} drawn as {drawn.draw}, {end.fraction:.0%} gone.",
        f"What leaves is {in_words(names, end.leaving)}.",
        f"On the mean {in_words(names, end.delivered)} has been delivered.",
    ]
    if end.left_liquid is not None:
        lines.append(f"The liquid that stays is {in_words(names, end.left_liquid)}.")
    else:
        lines.append("No liquid is left.")
    if json["dew_shift_k"] is not None and found.kind != "single":
        lines.append(shift_text(json))
    verdict = {True: "within", False: "outside", None: "not compared with"}
    if found.kind != "single":
        lines.append(
            f"That is {verdict[json['within_tolerance']]} the standard's composition "
            f"tolerance ({json['tolerance_note']})."
        )
    if found.kind == "zeotrope" and drawn.draw == "vapor":
        lines.append(f"Draw {found.designation} as liquid only.")
    return "\n".join(lines)


def shift_text(json: Mapping[str, Any]) -> str:
    """Say what a make-up in the unit does to the readings."""
    dew, bubble = json["dew_shift_k"] * 1.8, json["bubble_shift_k"] * 1.8
    return (
        f"With it in the unit the true dew point at suction is {dew:+.1f} F and the true "
        f"bubble point at the liquid line {bubble:+.1f} F from the table."
    )

"""The look-ups that need no job: refrigerant, saturation, superheat, subcooling.

Each takes its arguments as typed and gives an answer, or raises ``LookupRefusal`` (the
question has no answer; exit code 1) or ``LookupUsage`` (wrong argument; exit code 2).
The others stand beside it: ``lookup_targets``, ``lookup_method``, ``lookup_finding``.
"""

from typing import get_args

from companion.knowledge.catalogue import Field, Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import Curve, OutsideTable, subcooling, superheat
from companion.knowledge.quantities import AbsolutePressure, Temperature
from companion.shell.lookup_answer import (
    SEA_LEVEL,
    Answer,
    LookupRefusal,
    LookupUsage,
    absolute_pressure,
    ambient,
    find_refrigerant,
    gauge_pressure,
    shown,
    source_text,
    temperature,
)

_JSON_NAMES: dict[Field, str] = {
    "mass_pct": "components",
    "safety_group": "safety_group",
    "normal_points": "glide_k",
    "gwp_ar4": "gwp_ar4",
    "gwp_ar5": "gwp_ar5",
    "odp": "odp",
    "saturation_error": "saturation_error_k",
}


def look_up_refrigerant(knowledge: Knowledge, designation: str) -> Answer:
    """Say what is known of a refrigerant.

    Parameters
    ----------
    knowledge
        Everything that is known.
    designation
        In any spelling.

    Raises
    ------
    LookupRefusal
        If it is not known (with those near it), not supported, or out of scope.
    """
    found = find_refrigerant(knowledge, designation)
    cited = {_JSON_NAMES[name]: each for name, each in found.citations.items()}
    json = {
        "designation": found.designation,
        "kind": found.kind,
        "components": dict(found.mass_pct),
        "safety_group": found.safety_group,
        "safety_group_certain": found.safety_group_certain,
        "caution_group": found.caution_group,
        "glide_k": shown(found.glide.k),
        "normal_bubble_c": shown(found.normal_bubble.c),
        "normal_dew_c": shown(found.normal_dew.c),
        "gwp_ar4": found.gwp_ar4,
        "gwp_ar5": found.gwp_ar5,
        "odp": found.odp,
        "charging_draw": found.charging_draw,
        "saturation_error_k": shown(found.saturation_error.k),
        "pressure_error_pct": shown(found.pressure_error_pct),
        "certainty": {name: each.mark for name, each in cited.items()},
        "sources": {name: source_text(knowledge, each) for name, each in cited.items()},
    }
    return Answer(json=json, text=_refrigerant_text(found))


def _refrigerant_text(found: Refrigerant) -> str:
    make_up = ", ".join(f"{pct:g} % {name}" for name, pct in found.mass_pct.items())
    kinds = {"single": "a single substance", "azeotrope": "an azeotrope"}
    group = f"Safety group {found.safety_group}"
    if not found.safety_group_certain:
        group += f" from memory only; work as with {found.caution_group}"
    draw = {
        "liquid": "Draw it from the cylinder as liquid.",
        "either": "It may be drawn as liquid or vapor.",
    }
    warming = (
        f"Global warming potential {found.gwp_ar4:g} (fourth report), "
        f"{found.gwp_ar5:g} (fifth); ozone depletion {found.odp:g}."
    )
    lines = [
        f"{found.designation} is {kinds.get(found.kind, 'a zeotrope')}: {make_up}.",
        f"{group}.",
        f"Glide {found.glide.k:.1f} K ({found.glide.f:.1f} F) at atmospheric pressure.",
        warming,
        draw[found.charging_draw],
    ]
    return "\n".join(lines)


def look_up_saturation(
    knowledge: Knowledge,
    designation: str,
    *,
    pressure: str | None = None,
    temperature: str | None = None,
    altitude: str = SEA_LEVEL,
) -> Answer:
    """Give bubble and dew point at a pressure, or both pressures at a temperature.

    Parameters
    ----------
    knowledge
        Everything that is known.
    designation
        The refrigerant.
    pressure, temperature
        Exactly one of them.
    altitude
        Where the gauge stands.

    Raises
    ------
    LookupUsage
        If not exactly one is given, or one is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, or the value is outside its table.
    """
    found = find_refrigerant(knowledge, designation)
    air = ambient(altitude)
    if pressure is not None and temperature is None:
        given = absolute_pressure("--pressure", pressure, air)
        return _at_pressure(knowledge, found, given)
    if temperature is not None and pressure is None:
        return _at_temperature(knowledge, found, _temperature(temperature), air)
    raise LookupUsage("give either --pressure or --temperature")


def _temperature(text: str) -> Temperature:
    return temperature("--temperature", text)


def _at_pressure(
    knowledge: Knowledge, found: Refrigerant, pressure: AbsolutePressure
) -> Answer:
    points: dict[Curve, Temperature] = {}
    for curve in get_args(Curve):
        point = knowledge.properties.saturation_temperature(found, curve, pressure)
        if isinstance(point, OutsideTable):
            raise LookupRefusal("outside-table", point.reason)
        points[curve] = point
    bubble, dew = points["bubble"], points["dew"]
    json = {
        "refrigerant": found.designation,
        "pressure_kpa_abs": shown(pressure.kpa),
        "bubble_c": shown(bubble.c),
        "dew_c": shown(dew.c),
        "bubble_f": shown(bubble.f),
        "dew_f": shown(dew.f),
        "error_k": shown(found.saturation_error.k),
    }
    text = (
        f"{found.designation} at {pressure.kpa:.0f} kPa absolute: bubble point "
        f"{bubble.f:.1f} F ({bubble.c:.1f} C), dew point {dew.f:.1f} F "
        f"({dew.c:.1f} C). Dew for superheat, bubble for subcooling."
    )
    return Answer(json=json, text=text)


def _at_temperature(
    knowledge: Knowledge, found: Refrigerant, at: Temperature, air: AbsolutePressure
) -> Answer:
    points: dict[Curve, AbsolutePressure] = {}
    for curve in get_args(Curve):
        point = knowledge.properties.saturation_pressure(found, curve, at)
        if isinstance(point, OutsideTable):
            raise LookupRefusal("outside-table", point.reason)
        points[curve] = point
    bubble, dew = points["bubble"], points["dew"]
    json = {
        "refrigerant": found.designation,
        "temperature_c": shown(at.c),
        "bubble_kpa_abs": shown(bubble.kpa),
        "dew_kpa_abs": shown(dew.kpa),
        "bubble_psig": shown(bubble.gauge(air).psi),
        "dew_psig": shown(dew.gauge(air).psi),
        "error_pct": shown(found.pressure_error_pct),
    }
    text = (
        f"{found.designation} at {at.f:.1f} F ({at.c:.1f} C): bubble pressure "
        f"{bubble.gauge(air).psi:.1f} psig, dew pressure {dew.gauge(air).psi:.1f} psig."
    )
    return Answer(json=json, text=text)


def look_up_superheat(
    knowledge: Knowledge,
    designation: str,
    *,
    suction: str,
    line: str,
    altitude: str = SEA_LEVEL,
) -> Answer:
    """Work out a superheat from suction pressure and suction line temperature.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, or the pressure is outside its table.
    """
    refrigerant = find_refrigerant(knowledge, designation)
    air = ambient(altitude)
    found = superheat(
        knowledge.properties,
        refrigerant,
        gauge_pressure("--suction", suction, air),
        temperature("--line", line),
        air,
        knowledge.limits.reading_errors,
    )
    if isinstance(found, OutsideTable):
        raise LookupRefusal("outside-table", found.reason)
    json = {
        "refrigerant": refrigerant.designation,
        "superheat_k": shown(found.value.k),
        "superheat_f": shown(found.value.f),
        "dew_c": shown(found.saturation.c),
        "dew_f": shown(found.saturation.f),
        "uncertainty_k": shown(found.uncertainty.k),
        "uncertainty_f": shown(found.uncertainty.f),
    }
    text = (
        f"Superheat {found.value.f:.0f} F, give or take {found.uncertainty.f:.0f} F; "
        f"the dew point is {found.saturation.f:.1f} F."
    )
    return Answer(json=json, text=text)


def look_up_subcooling(
    knowledge: Knowledge,
    designation: str,
    *,
    liquid: str,
    line: str,
    altitude: str = SEA_LEVEL,
) -> Answer:
    """Work out a subcooling from liquid pressure and liquid line temperature.

    Raises as :func:`look_up_superheat` does.
    """
    refrigerant = find_refrigerant(knowledge, designation)
    air = ambient(altitude)
    found = subcooling(
        knowledge.properties,
        refrigerant,
        gauge_pressure("--liquid", liquid, air),
        temperature("--line", line),
        air,
        knowledge.limits.reading_errors,
    )
    if isinstance(found, OutsideTable):
        raise LookupRefusal("outside-table", found.reason)
    json = {
        "refrigerant": refrigerant.designation,
        "subcooling_k": shown(found.value.k),
        "subcooling_f": shown(found.value.f),
        "bubble_c": shown(found.saturation.c),
        "bubble_f": shown(found.saturation.f),
        "uncertainty_k": shown(found.uncertainty.k),
        "uncertainty_f": shown(found.uncertainty.f),
    }
    text = (
        f"Subcooling {found.value.f:.0f} F, give or take {found.uncertainty.f:.0f} F; "
        f"the bubble point is {found.saturation.f:.1f} F."
    )
    return Answer(json=json, text=text)

"""The look-up of what is known of a refrigerant."""

from collections.abc import Mapping
from typing import Any

from companion.knowledge.catalogue import Field, Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import OutsideTable
from companion.shell.lookup_answer import Answer, find_refrigerant, shown, source_text
from companion.shell.lookup_arguments import SEA_LEVEL, ambient

LUBRICANT_NOTE = "no source was found by refrigerant; use the type on the unit's plate"

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
    cited["ozone_class"] = found.citations["odp"]
    cited["service_gauge"] = knowledge.handling.citations["gauge_standard_max"]
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
        "ozone_class": found.ozone_class,
        "lubricant": None,
        "lubricant_note": LUBRICANT_NOTE,
        **_gauge_class(knowledge, found),
        "charging_draw": found.charging_draw,
        "saturation_error_k": shown(found.saturation_error.k),
        "pressure_error_pct": shown(found.pressure_error_pct),
        "certainty": {name: each.mark for name, each in cited.items()},
        "sources": {name: source_text(knowledge, each) for name, each in cited.items()},
    }
    return Answer(json=json, text=_refrigerant_text(found, json))


def _sources_text(json: Mapping[str, Any]) -> list[str]:
    """Name each source once, with what it stands for."""
    held: dict[str, list[str]] = {}
    for name, source in json["sources"].items():
        held.setdefault(source, []).append(name.replace("_", " "))
    return ["Sources:"] + [
        f"  {', '.join(names)}: {source}." for source, names in held.items()
    ]


def _gauge_class(knowledge: Knowledge, found: Refrigerant) -> dict[str, Any]:
    """Say what the high-side gauge must show at the hottest, and its class."""
    handling = knowledge.handling
    at = handling.gauge_hottest
    bubble = knowledge.properties.saturation_pressure(found, "bubble", at)
    if isinstance(bubble, OutsideTable):
        return {"service_gauge": None, "gauge_needed_psig": None}
    gauge = bubble.gauge(ambient(SEA_LEVEL))
    standard = gauge.psi <= handling.gauge_standard_max.psi
    return {
        "service_gauge": "standard" if standard else "high-pressure",
        "gauge_needed_psig": shown(gauge.psi),
    }


def _refrigerant_text(found: Refrigerant, json: Mapping[str, Any]) -> str:
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
        f"{found.gwp_ar5:g} (fifth); ozone depletion {found.odp:g}"
        + ("." if found.ozone_class == "none" else f", contains {found.ozone_class}.")
    )
    lines = [
        f"{found.designation} is {kinds.get(found.kind, 'a zeotrope')}: {make_up}.",
        f"{group}.",
        f"Glide {found.glide.k:.1f} K ({found.glide.f:.1f} F) at atmospheric pressure.",
        warming,
        draw[found.charging_draw],
        f"Oil: {LUBRICANT_NOTE}.",
    ]
    if json["service_gauge"] == "high-pressure":
        lines.append(
            f"Gauges and hoses of the high-pressure class: "
            f"{json['gauge_needed_psig']:.0f} psig at 150 F."
        )
    lines += _sources_text(json)
    return "\n".join(lines)

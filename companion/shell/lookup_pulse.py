"""The look-ups of one opening's limits, and of a pressure in every unit."""

import math
from typing import Any

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.limits import Limits
from companion.knowledge.line_charge import tube_content
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import OutsideTable, working_temperature
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
)
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_refrigerant,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import (
    SEA_LEVEL,
    absolute_pressure,
    ambient,
    bore,
    gauge_pressure,
    seconds,
    temperature,
)
from companion.shell.lookup_evacuation import tube_masses

DISCHARGE = 0.65
"""Discharge coefficient of a sharp opening. Our own value."""
_EDGE = 1e-9  # a reading exactly at its limit has reached it, through conversions


def look_up_pulse(
    knowledge: Knowledge,
    designation: str,
    *,
    suction: str,
    now: str | None = None,
    opened: str | None = None,
    orifice: str | None = None,
    cylinder: str | None = None,
    altitude: str = SEA_LEVEL,
    air: str | None = None,
) -> Answer:
    """Give the limits of an opening from its starting pressure, or judge one.

    With the effective diameter of the ``orifice`` and the temperature of the
    ``cylinder`` the answer holds the flow of liquid too.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, or a pressure is outside its table.
    """
    found, outside = find_refrigerant(knowledge, designation), ambient(altitude, air)
    start, limits = gauge_pressure("--suction", suction, outside), knowledge.limits
    base = _dew_f(knowledge, found, start, outside)
    soft, hard = start + limits.pulse_rise_soft, start + limits.pulse_rise_hard
    json: dict[str, Any] = {
        "refrigerant": found.designation,
        "start_psig": shown(start.psi),
        "close_at_psig": shown(soft.psi),
        "never_above_psig": shown(hard.psi),
        "rise_at_close_f": shown(_dew_f(knowledge, found, soft, outside) - base),
        "rise_at_limit_f": shown(_dew_f(knowledge, found, hard, outside) - base),
        "degrees_limit_f": shown(limits.pulse_saturation_rise.f),
        "longest_s": limits.pulse_open_time.s,
        "source": source_text(knowledge, limits.citation("pulse_rise_soft")),
    }
    if orifice is not None or cylinder is not None:
        json |= _flow(knowledge, found, orifice, cylinder, start.absolute(outside))
    if now is None and opened is None:
        text = (
            f"Close at {soft.psi:.0f} psig, never above {hard.psi:.0f}, no more than "
            f"{limits.pulse_saturation_rise.f:.0f} F of saturation, and after "
            f"{limits.pulse_open_time.s:.0f} seconds at the latest: common practice, no "
            "source."
        )
        return Answer(json=json, text=text)
    due: list[str] = []
    if now is not None:
        reading = gauge_pressure("--now", now, outside)
        rise_f = _dew_f(knowledge, found, reading, outside) - base
        json |= {"rise_psi": shown((reading - start).psi), "rise_f": shown(rise_f)}
        due += _reached((reading - start).psi, rise_f, limits)
    if opened is not None and seconds("--open", opened) >= limits.pulse_open_time.s:
        due.append("time")
    json |= {"close_now": bool(due), "because": due}
    text = f"Close now: {', '.join(due)}." if due else "Within its limits."
    return Answer(json=json, text=text)


def _flow(
    knowledge: Knowledge,
    refrigerant: Refrigerant,
    orifice: str | None,
    cylinder: str | None,
    suction: AbsolutePressure,
) -> dict[str, Any]:
    """Give the flow of liquid through a round opening from a cylinder."""
    if orifice is None or cylinder is None:
        raise LookupUsage("--orifice and --cylinder go together")
    at = temperature("--cylinder", cylinder)
    pressure = knowledge.properties.saturation_pressure(refrigerant, "bubble", at)
    if isinstance(pressure, OutsideTable):
        raise LookupRefusal("outside-table", pressure.reason)
    metre = Length(1.0)
    try:
        area = math.pi / 4 * bore("--orifice", orifice).m ** 2
        liquid, _ = tube_masses(
            knowledge, refrigerant.designation, "1m", "1m", cylinder
        )
    except ValueError as error:
        raise LookupUsage(str(error)) from error
    density = liquid.kg / tube_content(1.0, metre, metre).kg
    drop_pa = max(0.0, (pressure - suction).pa)
    kg_s = DISCHARGE * area * math.sqrt(2 * density * drop_pa)
    return {
        "flow_g_s": shown(kg_s * 1000),
        "flow_oz_15s": shown(Mass(kg_s * 15).oz),
        "flow_source": "own sums: orifice equation, discharge coefficient 0.65, no flashing",
    }


def _reached(rise_psi: float, rise_f: float, limits: Limits) -> list[str]:
    due = []
    if rise_psi >= limits.pulse_rise_soft.psi - _EDGE:
        due.append("pressure")
    if rise_f >= limits.pulse_saturation_rise.f - _EDGE:
        due.append("saturation")
    return due


def _dew_f(
    knowledge: Knowledge,
    refrigerant: Refrigerant,
    gauge: GaugePressure,
    air: AbsolutePressure,
) -> float:
    try:
        at = gauge.absolute(air)
    except ValueError as error:
        raise LookupRefusal("below-vacuum", str(error)) from error
    point = working_temperature(knowledge.properties, refrigerant, "dew", at)
    if isinstance(point, OutsideTable):
        raise LookupRefusal("outside-table", point.reason)
    return point.f


def look_up_pressure(
    _: Knowledge,
    value: str | None,
    *,
    altitude: str = SEA_LEVEL,
    air: str | None = None,
) -> Answer:
    """Give a pressure in every unit, and the local air; no value is the air itself.

    Raises
    ------
    LookupUsage
        If it is no pressure.
    LookupRefusal
        If it is below a perfect vacuum.
    """
    outside = ambient(altitude, air)
    found = outside if value is None else absolute_pressure("VALUE", value, outside)
    json = {
        "pa_abs": shown(found.pa),
        "kpa_abs": shown(found.kpa),
        "psia": shown(found.psi),
        "psig": shown(found.gauge(outside).psi),
        "inhg_abs": round(found.inhg, 6),
        "micron": shown(found.micron),
        "air_kpa": shown(outside.kpa),
        "air_psia": shown(outside.psi),
        "air_inhg": shown(outside.inhg),
    }
    text = (
        f"{found.psi:.2f} psia, {found.gauge(outside).psi:.2f} psig, {found.kpa:.3f} kPa "
        f"absolute, {found.inhg:.4f} inHg absolute, {found.micron:.0f} micron, where the "
        f"air stands at {outside.psi:.2f} psia."
    )
    return Answer(json=json, text=text)

"""The look-up of what is in a cylinder."""

from dataclasses import dataclass
from typing import Any

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.cylinder import CylinderState, cylinder_state
from companion.knowledge.equilibrium import EquilibriumError
from companion.knowledge.fixed_volume import LiquidFull
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import OutsideTable
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Mass,
    Temperature,
    Volume,
)
from companion.shell.blend_model import (
    fill,
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
from companion.shell.lookup_arguments import (
    SEA_LEVEL,
    ambient,
    gauge_pressure,
    mass,
    temperature,
    volume,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderArguments:
    """The arguments as typed; None where left out.

    Either ``volume`` or the stamped ``water_capacity``; either ``net`` or ``gross`` and
    ``tare``. ``pressure`` is a gauge reading of the cylinder at rest, ``gravity`` a printed
    specific gravity of the liquid at the fill rule's temperature.
    """

    designation: str
    temperature: str
    volume: str | None = None
    water_capacity: str | None = None
    net: str | None = None
    gross: str | None = None
    tare: str | None = None
    pressure: str | None = None
    gravity: str | None = None
    altitude: str = SEA_LEVEL
    air: str | None = None


def look_up_cylinder(knowledge: Knowledge, arguments: CylinderArguments) -> Answer:
    """Say how full a cylinder is, what it should stand at, and what it may hold.

    Raises
    ------
    LookupUsage
        If an argument is missing or of the wrong kind.
    LookupRefusal
        If the refrigerant is refused or the cylinder cannot be as described.
    """
    found = find_refrigerant(knowledge, arguments.designation)
    room = _room(knowledge, arguments)
    net = _net(arguments)
    at = temperature("--temperature", arguments.temperature)
    air = ambient(arguments.altitude, arguments.air)
    equilibrium = open_equilibrium(knowledge, found, at)
    try:
        filling = fill(found, net, room, at)
        state = cylinder_state(equilibrium, filling, knowledge.handling)
    except EquilibriumError as error:
        raise no_answer(error) from error
    if isinstance(state, LiquidFull):
        raise too_full(found.designation, at, state.over)
    json = _json(knowledge, found, state, air)
    json |= {"net_kg": shown(net.kg), "volume_l": shown(room.litre)}
    json["temperature_c"] = shown(at.c)
    if arguments.gravity is not None:
        json |= _by_gravity(knowledge, arguments, room)
    lines = _lines(knowledge, found, state, air)
    if arguments.pressure is not None:
        reading = gauge_pressure("--pressure", arguments.pressure, air)
        json |= _compared(knowledge, found, state, at, reading, air)
        lines.append(f"Its pressure is {json['standing']}.")
    return Answer(json=json, text="\n".join(lines))


def _room(knowledge: Knowledge, arguments: CylinderArguments) -> Volume:
    if (arguments.volume is None) == (arguments.water_capacity is None):
        raise LookupUsage("give either --volume or --water-capacity")
    if arguments.volume is not None:
        room = volume("--volume", arguments.volume)
    else:
        water = mass("--water-capacity", arguments.water_capacity or "")
        room = Volume(max(0.0, water.kg) / knowledge.handling.water_density)
    if room.m3 <= 0:
        raise LookupRefusal(
            "impossible",
            "a cylinder without volume holds nothing; read its stamp again",
        )
    return room


def _net(arguments: CylinderArguments) -> Mass:
    if (arguments.net is None) == (arguments.gross is None):
        raise LookupUsage("give either --net, or --gross and --tare")
    if arguments.net is not None:
        net = mass("--net", arguments.net)
    elif arguments.tare is None:
        raise LookupUsage("--gross needs --tare, stamped on the cylinder")
    else:
        tare = mass("--tare", arguments.tare)
        if tare.kg <= 0:
            raise LookupRefusal("impossible", f"--tare: {tare.kg:g} kg is no cylinder")
        net = mass("--gross", arguments.gross or "") - tare
    if net.kg <= 0:
        raise LookupRefusal(
            "impossible",
            f"a net mass of {net.kg:.2f} kg ({net.lb:.1f} lb) is not above zero; weigh "
            "again, and read the tare again",
        )
    return net


def _by_gravity(
    knowledge: Knowledge, arguments: CylinderArguments, room: Volume
) -> dict[str, Any]:
    """Give the fill rule's sum with a printed gravity; what is advised stays ours."""
    try:
        gravity = float(arguments.gravity or "")
    except ValueError as error:
        raise LookupUsage(
            f"--gravity takes a number such as 1.197, not {arguments.gravity!r}"
        ) from error
    if not 0 < gravity < 3:  # no refrigerant is three times as dense as water
        raise LookupUsage("--gravity takes the liquid's density over that of water")
    handling = knowledge.handling
    fill_mass = Mass(handling.fill_share * room.m3 * handling.water_density * gravity)
    json = {
        "fill_by_gravity_kg": shown(fill_mass.kg),
        "fill_by_gravity_lb": shown(fill_mass.lb),
    }
    if arguments.tare is not None:
        gross = fill_mass + mass("--tare", arguments.tare)
        json |= {
            "gross_by_gravity_kg": shown(gross.kg),
            "gross_by_gravity_lb": shown(gross.lb),
        }
    return json


def _json(
    knowledge: Knowledge,
    found: Refrigerant,
    state: CylinderState,
    air: AbsolutePressure,
) -> dict[str, Any]:
    handling = knowledge.handling
    full_k = state.full_now_k if state.overfilled else state.full_at_rule_k
    gauge = AbsolutePressure(state.pressure_pa).gauge(air)
    return {
        "refrigerant": found.designation,
        "liquid_kg": shown(state.liquid_kg),
        "vapor_kg": shown(state.vapor_kg),
        "liquid_level": shown(state.level),
        "pressure_kpa_abs": shown(state.pressure_pa / 1000),
        "pressure_psig": shown(gauge.psi),
        "largest_fill_kg": shown(state.largest_fill_kg),
        "room_left_kg": shown(
            max(0.0, state.largest_fill_kg - state.liquid_kg - state.vapor_kg)
        ),
        "overfilled": state.overfilled,
        "liquid_full_c": _celsius(full_k),
        "liquid_full_of": "contents" if state.overfilled else "largest fill",
        "contents_liquid_full_c": _celsius(state.full_now_k),
        "keep_below_c": shown(handling.cylinder_hottest.c),
        "hot_van_warning": _warning(knowledge, state),
        "draw_as_liquid_kg": shown(state.draw_as_liquid_kg),
        "error_pct": shown(found.pressure_error_pct),
        "sources": {
            key: source_text(knowledge, handling.citations[key])
            for key in ("fill_share", "not_liquid_full", "cylinder_hottest")
        },
    }


def _celsius(t_k: float | None) -> float | None:
    return None if t_k is None else shown(Temperature(t_k).c)


def _warning(knowledge: Knowledge, state: CylinderState) -> str | None:
    """Warn of a hot van, by when what is in the cylinder now fills it."""
    handling = knowledge.handling
    if state.full_now_k is None:
        return None
    full = Temperature(state.full_now_k)
    if full <= handling.not_liquid_full:
        return (
            f"it is full of liquid at {full.f:.0f} F ({full.c:.0f} C), which no cylinder "
            f"may be at {handling.not_liquid_full.f:.0f} F; keep it cool and take some "
            "out"
        )
    return (
        f"it is full of liquid at {full.f:.0f} F ({full.c:.0f} C); keep it below "
        f"{handling.cylinder_hottest.f:.0f} F, out of a closed van in the sun"
    )


def _lines(
    knowledge: Knowledge,
    found: Refrigerant,
    state: CylinderState,
    air: AbsolutePressure,
) -> list[str]:
    gauge = AbsolutePressure(state.pressure_pa).gauge(air)
    fill_kg = Mass(state.largest_fill_kg)
    lines = [
        f"{state.liquid_kg:.2f} kg of liquid and {state.vapor_kg:.2f} kg of vapor.",
        f"The liquid takes {state.level:.0%} of the volume.",
        f"At rest its gauge should show {gauge.psi:.0f} psig.",
        f"{state.draw_as_liquid_kg:.2f} kg can still be drawn as liquid.",
        f"It may hold {fill_kg.kg:.2f} kg ({fill_kg.lb:.1f} lb) of {found.designation}.",
    ]
    warning = _warning(knowledge, state)
    if warning is not None:
        lines.append(f"Warning: {warning}.")
    if state.overfilled:
        lines.insert(0, "Overfilled: more is in it than the fill rule allows.")
    return lines


def _compared(
    knowledge: Knowledge,
    found: Refrigerant,
    state: CylinderState,
    at: Temperature,
    reading: GaugePressure,
    air: AbsolutePressure,
) -> dict[str, Any]:
    """Compare a gauge reading with the standing pressure (what is it, is air in it)."""
    errors = knowledge.limits.reading_errors
    expected = AbsolutePressure(state.pressure_pa).gauge(air)
    warmer = knowledge.properties.saturation_pressure(found, "bubble", at + errors.line)
    here = knowledge.properties.saturation_pressure(found, "bubble", at)
    by_temperature = 0.0
    if not isinstance(warmer, OutsideTable) and not isinstance(here, OutsideTable):
        by_temperature = (warmer - here).pa
    table = state.pressure_pa * found.pressure_error_pct / 100
    band = errors.liquid.pa + by_temperature + table
    off = (reading - expected).pa
    verdict = f"as expected of {found.designation}"
    if off > band:
        verdict = "too high: another refrigerant, or air in it; do not charge from it"
    elif off < -band:
        verdict = "too low: another refrigerant, or colder than said; do not charge yet"
    return {
        "reading_psig": shown(reading.psi),
        "standing": verdict,
        "standing_as_expected": abs(off) <= band,
        "band_psi": shown(GaugePressure(band).psi),
    }

"""The look-up of what a set of readings says."""

from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.diagnosis import diagnose
from companion.knowledge.findings import Amps, Finding, Readings
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import (
    OutsideTable,
    Subcooling,
    Superheat,
    subcooling,
    superheat,
)
from companion.knowledge.targets import (
    SubcoolingTarget,
    SuperheatTarget,
    Target,
    target_subcooling,
    target_superheat,
)
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_refrigerant,
    shown,
)
from companion.shell.lookup_arguments import (
    SEA_LEVEL,
    ambient,
    choice,
    difference_or_none,
    gauge_pressure,
    metering,
    temperature,
    temperature_or_none,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingArguments:
    """The arguments of the look-up, as typed; None where left out.

    A valve without ``nameplate`` is judged by an assumed target, and the answer says
    so.
    """

    refrigerant: str
    metering: str
    suction: str
    liquid: str
    suction_line: str
    liquid_line: str
    outdoor: str
    wet_bulb: str | None = None
    nameplate: str | None = None
    split: str | None = None
    split_target: str | None = None
    amps: str | None = None
    altitude: str = SEA_LEVEL
    air: str | None = None


def look_up_finding(knowledge: Knowledge, arguments: FindingArguments) -> Answer:
    """Say what the readings of a running unit mean.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, or a pressure is outside its table.
    """
    device = metering("--metering", arguments.metering)
    if device is None:
        raise LookupUsage("--metering is needed")
    heat, cool = _measured(knowledge, arguments)
    heat_target = _superheat_target(knowledge, arguments)
    cool_target = _subcooling_target(
        knowledge, arguments, assume=device != "fixed-orifice"
    )
    readings = Readings(
        metering=device,
        superheat=heat,
        subcooling=cool,
        outdoor=temperature("--outdoor", arguments.outdoor),
        superheat_target=heat_target,
        subcooling_target=cool_target,
        split=difference_or_none("--split", arguments.split),
        split_target=difference_or_none("--split-target", arguments.split_target),
        amps=choice("--amps", arguments.amps, _words(Amps)),
    )
    found = diagnose(readings, knowledge.limits)
    target = heat_target if device == "fixed-orifice" else cool_target
    return _answer(found, readings, target if isinstance(target, Target) else None)


def _words(literal: Any) -> tuple[Any, ...]:
    return get_args(literal)


def _measured(
    knowledge: Knowledge, arguments: FindingArguments
) -> tuple[Superheat, Subcooling]:
    refrigerant = find_refrigerant(knowledge, arguments.refrigerant)
    air = ambient(arguments.altitude, arguments.air)
    errors = knowledge.limits.reading_errors
    suction = gauge_pressure("--suction", arguments.suction, air)
    suction_line = temperature("--suction-line", arguments.suction_line)
    heat = superheat(
        knowledge.properties, refrigerant, suction, suction_line, air, errors
    )
    if isinstance(heat, OutsideTable):
        raise LookupRefusal("outside-table", heat.reason)
    liquid = gauge_pressure("--liquid", arguments.liquid, air)
    liquid_line = temperature("--liquid-line", arguments.liquid_line)
    cool = subcooling(
        knowledge.properties, refrigerant, liquid, liquid_line, air, errors
    )
    if isinstance(cool, OutsideTable):
        raise LookupRefusal("outside-table", cool.reason)
    return heat, cool


def _superheat_target(
    knowledge: Knowledge, arguments: FindingArguments
) -> SuperheatTarget | None:
    wet_bulb = temperature_or_none("--wet-bulb", arguments.wet_bulb)
    if wet_bulb is None:
        return None
    outdoor = temperature("--outdoor", arguments.outdoor)
    return target_superheat(knowledge.targets, outdoor, wet_bulb)


def _subcooling_target(
    knowledge: Knowledge, arguments: FindingArguments, *, assume: bool
) -> SubcoolingTarget | None:
    plate = difference_or_none("--nameplate", arguments.nameplate)
    if plate is None and not assume:
        return None
    try:
        return target_subcooling(knowledge.targets, plate, assume=assume)
    except ValueError as error:
        raise LookupUsage(f"--nameplate: {error}") from error


def _answer(found: Finding, readings: Readings, target: Target | None) -> Answer:
    heat, cool = readings.superheat, readings.subcooling
    reason = found.reason
    if target is not None and target.assumed:
        reason += (
            f" (against an assumed target subcooling of {target.value.f:.0f} F, from "
            "memory; read the plate)"
        )
    json = {
        "finding": found.id,
        "may_add": found.may_add,
        "reason": reason,
        "superheat_f": shown(heat.value.f),
        "subcooling_f": shown(cool.value.f),
        "superheat_k": shown(heat.value.k),
        "subcooling_k": shown(cool.value.k),
        "target_f": None if target is None else shown(target.value.f),
        "target_of": None if target is None else target.of,
        "target_assumed": target is not None and target.assumed,
        "evidence": list(found.evidence),
    }
    may = "Refrigerant may be added." if found.may_add else "Do not add refrigerant."
    text = (
        f"{found.id}: {reason}.\nSuperheat {heat.value.f:.0f} F, "
        f"subcooling {cool.value.f:.0f} F. {may}"
    )
    return Answer(json=json, text=text)

"""The look-up of what a set of readings says."""

import math
from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.diagnosis import diagnose
from companion.knowledge.findings import Amps, Finding, Readings
from companion.knowledge.limits import AirFlow
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import (
    Curve,
    OutsideTable,
    Subcooling,
    Superheat,
    subcooling,
    superheat,
)
from companion.knowledge.quantities import PressureDifference
from companion.knowledge.recovering import recovery_steps
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
    is_unknown,
    metering,
    temperature,
    temperature_or_none,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingArguments:
    """The arguments of the look-up, as typed; None where left out.

    A valve without ``nameplate`` is judged by an assumed target, and the answer says
    so. ``airflow`` is in cubic feet a minute for each ton; ``standing`` is the pressure
    of the unit at rest and at ``standing_temperature`` throughout.
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
    airflow: str | None = None
    iced: str | bool | None = None
    return_dry_bulb: str | None = None
    discharge: str | None = None
    standing: str | None = None
    standing_temperature: str | None = None
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
    refrigerant = find_refrigerant(knowledge, arguments.refrigerant)
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
        glide=refrigerant.glide,
        standing_off=_standing_off(knowledge, arguments, refrigerant),
        airflow=_airflow(arguments.airflow),
        coil_iced=_iced(arguments.iced),
        return_dry_bulb=temperature_or_none(
            "--return-dry-bulb", arguments.return_dry_bulb
        ),
        return_wet_bulb=temperature_or_none("--wet-bulb", arguments.wet_bulb),
        discharge=temperature_or_none("--discharge", arguments.discharge),
    )
    found = diagnose(readings, knowledge.limits)
    target = heat_target if device == "fixed-orifice" else cool_target
    steps: tuple[str, ...] = ()
    if found.id == "overcharged":
        steps = recovery_steps(knowledge.limits, knowledge.handling)
    return _answer(
        found, readings, target if isinstance(target, Target) else None, steps
    )


def _airflow(text: str | None) -> AirFlow | None:
    if text is None:
        return None
    number = text.strip().lower().removesuffix("/ton").removesuffix("cfm")
    try:
        found = float(number)
    except ValueError:
        found = -1.0
    if not 0 <= found < math.inf:
        raise LookupUsage(
            f"--airflow takes cubic feet a minute for each ton, such as 350, not {text!r}"
        )
    return AirFlow(cfm_per_ton=found)


def _iced(value: str | bool | None) -> bool | None:
    if value is None or isinstance(value, bool):
        return value
    # A coil that nobody could look at may be iced.
    return is_unknown(value) or choice("--iced", value, ("yes", "no")) == "yes"


def _standing_off(
    knowledge: Knowledge, arguments: FindingArguments, refrigerant: Refrigerant
) -> PressureDifference | None:
    """Give the standing pressure less the nearest that saturation allows.

    A blend at rest lies between its dew and bubble pressure, by how much is liquid.
    """
    if arguments.standing is None and arguments.standing_temperature is None:
        return None
    if arguments.standing is None or arguments.standing_temperature is None:
        raise LookupUsage("--standing and --standing-temperature go together")
    air = ambient(arguments.altitude, arguments.air)
    read = gauge_pressure("--standing", arguments.standing, air).absolute(air)
    at = temperature("--standing-temperature", arguments.standing_temperature)
    found = []
    for curve in get_args(Curve):
        point = knowledge.properties.saturation_pressure(refrigerant, curve, at)
        if isinstance(point, OutsideTable):
            raise LookupRefusal("outside-table", point.reason)
        found.append(point)
    nearest = min(max(read, min(found)), max(found))
    return read - nearest


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


def _answer(
    found: Finding, readings: Readings, target: Target | None, steps: tuple[str, ...]
) -> Answer:
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
        "uncertainty_f": {
            "superheat": shown(heat.uncertainty.f),
            "subcooling": shown(cool.uncertainty.f),
        },
        "evidence": list(found.evidence),
        "against": list(found.against),
        "next_measurement": found.next_measurement,
        "next_step": found.next_step,
        "then": list(steps),
    }
    may = "Refrigerant may be added." if found.may_add else "Do not add refrigerant."
    text = (
        f"{found.id}: {reason}.\nSuperheat {heat.value.f:.0f} F, "
        f"subcooling {cool.value.f:.0f} F. {may}"
    )
    if found.next_step:
        text += f"\nNext: {found.next_step}."
    if steps:
        text += "\n" + "\n".join(f"- {step}" for step in steps)
    return Answer(json=json, text=text)

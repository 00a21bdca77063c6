"""Readings against targets: what is wrong, and whether refrigerant may be added.

Superheat and subcooling are each low, right or high. High superheat with low subcooling
is a shortage; the opposite an excess; both high a restriction; both low a compressor, a
condenser or too little air. On a fixed orifice the superheat speaks first, on a valve
the subcooling, because the valve holds its superheat until it is wide open. A fault
that another sign points to outweighs the charge: while it stands, nothing is added.

A value past the tolerance within the error of its reading is undecided, and the finding
says what to measure next. What has been added cannot be taken back with the same hoses,
so doubt never leads to adding.

References
----------
California Energy Commission, 2008 Reference Residential Appendix RA3.2 (tolerances,
validity); HVAC&R Research 4(3), 1998 (signs on a fixed orifice); ASHRAE RP-1173 (valve
wide open). Signs not in these are from memory.
"""

from collections.abc import Mapping

from companion.knowledge.criteria import outdoor_valid
from companion.knowledge.findings import Finding, FindingId, Measurement, Readings
from companion.knowledge.limits import Limits
from companion.knowledge.signs import (
    head_high,
    signs_of,
    split_high,
    subcooling_level,
    superheat_level,
    weigh,
)

_NEXT: Mapping[Measurement, str] = {
    "settle-and-read": "let it settle fifteen minutes, insulate the clamps, and read "
    "pressure and line temperature again",
    "outdoor-temperature": "read the air entering the outdoor coil again when it is "
    "warmer",
    "return-dry-bulb": "bring the rooms to the range of a valid test, then read again",
    "return-wet-bulb": "measure the wet bulb of the return air",
    "plate-subcooling": "read the target subcooling from the unit's plate",
    "amps": "measure the compressor's amps and the air split again",
    "air-flow": "measure the air flow, and look at filter, coil, blower and registers",
    "coil-and-filter": "thaw the coil, then look at filter, blower and registers",
    "condenser": "look at the outdoor coil and fan, then stop the unit and compare its "
    "standing pressure with saturation",
    "standing-pressure": "stop the unit, let it come to one temperature, and compare "
    "its standing pressure with saturation",
    "drier-drop": "measure the temperature before and after the drier and along the "
    "liquid line",
    "valve-bulb": "look at the expansion valve's bulb, its strap and its insulation",
    "compressor": "compare suction and head with the amps, and feel the compressor and "
    "the reversing valve",
}


def diagnose(readings: Readings, limits: Limits) -> Finding:
    """Say what the readings of a running unit mean.

    Parameters
    ----------
    readings
        Steady readings and targets.
    limits
        Tolerances and signs of trouble.

    Returns
    -------
    Finding
        ``not-valid`` where the charge cannot be judged at all.
    """
    for rule in (
        _not_valid,
        _standing,
        _nonsense,
        _hot_condenser,
        _too_little_air,
        _overheated,
    ):
        found = rule(readings, limits)
        if found is not None:
            return found
    if readings.metering == "fixed-orifice":
        return _orifice(readings, limits)
    return _valve(readings, limits)


def _found(
    readings: Readings,
    limits: Limits,
    finding: FindingId,
    reason: str,
    then: Measurement | None = None,
    extra: tuple[str, ...] = (),
) -> Finding:
    """Make a finding, with the signs sorted by what they say of it."""
    evidence, against = weigh(finding, signs_of(readings, limits))
    return Finding(
        id=finding,
        reason=reason,
        evidence=(*extra, *evidence),
        against=against,
        next_measurement=then,
        next_step="" if then is None else _NEXT[then],
    )


def _invalid(reason: str, then: Measurement) -> Finding:
    """Say that nothing can be judged; then no sign says anything."""
    return Finding(
        id="not-valid", reason=reason, next_measurement=then, next_step=_NEXT[then]
    )


def _not_valid(readings: Readings, limits: Limits) -> Finding | None:
    if not outdoor_valid(readings.outdoor, limits):
        return _invalid(
            f"outdoors it is {readings.outdoor.f:.0f} F; a charge is judged at "
            f"{limits.outdoor_min.f:.0f} F or more",
            "outdoor-temperature",
        )
    indoor = readings.return_dry_bulb
    low, high = limits.return_dry_bulb_min, limits.return_dry_bulb_max
    if indoor is not None and not low.k - 1e-6 <= indoor.k <= high.k + 1e-6:
        return _invalid(
            f"the return air is at {indoor.f:.0f} F; a charge is judged between "
            f"{low.f:.0f} and {high.f:.0f} F",
            "return-dry-bulb",
        )
    orifice = readings.metering == "fixed-orifice"
    target = readings.superheat_target if orifice else readings.subcooling_target
    missing: Measurement = "return-wet-bulb" if orifice else "plate-subcooling"
    if target is None:
        needed = "the return wet bulb" if orifice else "the plate's target subcooling"
        return _invalid(f"without {needed} there is no target", missing)
    if target.kind != "target":
        return _invalid(target.reason, missing)
    return None


def _standing(readings: Readings, limits: Limits) -> Finding | None:
    """Compare the pressure at rest with saturation, where it was read."""
    off = readings.standing_off
    if off is None or abs(off.pa) <= limits.standing_off_max.pa + 1:
        return None
    if off.pa > 0:
        return _found(
            readings,
            limits,
            "non-condensables-suspected",
            f"at rest it stands {off.psi:.0f} psi above saturation: air or another gas "
            "is inside, or it is another refrigerant; recover, evacuate and weigh in",
        )
    return _found(
        readings,
        limits,
        "wrong-refrigerant-suspected",
        f"at rest it stands {-off.psi:.0f} psi below saturation: it is another "
        "refrigerant, has no liquid left, or is colder than said; have it analyzed",
    )


def _nonsense(readings: Readings, limits: Limits) -> Finding | None:
    """Notice readings that no unit with this refrigerant can have.

    A line that holds liquid and vapor lies between bubble and dew point, so superheat
    and subcooling go no further below zero than the glide and their errors.
    """
    if readings.glide is None:
        return None
    glide_k = max(0.0, readings.glide.k)
    for name, found in (
        ("superheat", readings.superheat),
        ("subcooling", readings.subcooling),
    ):
        if found.value.k < -(found.uncertainty.k + glide_k):
            return _found(
                readings,
                limits,
                "wrong-refrigerant-suspected",
                f"a {name} of {found.value.f:.0f} F cannot be: the circuit holds "
                "another refrigerant, or a gauge or clamp is wrong",
                "standing-pressure",
                (f"{name} {found.value.f:.0f} F impossible",),
            )
    return None


def _hot_condenser(readings: Readings, limits: Limits) -> Finding | None:
    if not head_high(readings, limits):
        return None
    over = readings.subcooling.saturation - readings.outdoor
    return _found(
        readings,
        limits,
        "condenser-suspected",
        f"it condenses {over.f:.0f} F above the outdoor air: look at the coil, "
        "the fan, foreign gas and too much charge before anything is added",
        "condenser",
    )


def _too_little_air(readings: Readings, limits: Limits) -> Finding | None:
    signs = []
    air = readings.airflow
    if air is not None and air.cfm_per_ton < limits.airflow_min.cfm_per_ton - 1e-9:
        signs.append(f"air flow {air.cfm_per_ton:.0f} cubic feet a minute a ton low")
    if readings.coil_iced:
        signs.append("ice on the indoor coil")
    if superheat_level(readings, limits) == "low":
        signs += _cold_coil(readings, limits)
    if not signs and not split_high(readings, limits):
        return None
    return _found(
        readings,
        limits,
        "low-airflow-suspected",
        "too little air may pass the indoor coil, which looks like low charge on "
        "the gauge: check filter, coil, blower and registers first",
        "coil-and-filter" if readings.coil_iced else "air-flow",
        tuple(signs),
    )


def _cold_coil(readings: Readings, limits: Limits) -> list[str]:
    """Give the signs of a coil that is colder than one with low superheat should be."""
    coil, wet_bulb = readings.superheat.saturation, readings.return_wet_bulb
    signs = []
    if coil < limits.frost_point:
        signs.append("coil below freezing with low superheat")
    if wet_bulb is None or readings.metering != "fixed-orifice":
        return signs
    below = wet_bulb - coil
    if below > limits.coil_below_wet_bulb_max:
        signs.append(f"coil {below.f:.0f} F below the return wet bulb")
    return signs


def _overheated(readings: Readings, limits: Limits) -> Finding | None:
    hot = readings.discharge
    if hot is None or hot <= limits.discharge_max:
        return None
    return _found(
        readings,
        limits,
        "compressor-suspected",
        f"the discharge line is at {hot.f:.0f} F: the compressor overheats; stop the "
        "unit and find out why before anything is added",
        "compressor",
        ("discharge line hot",),
    )


def _orifice(readings: Readings, limits: Limits) -> Finding:
    heat, cool = superheat_level(readings, limits), subcooling_level(readings, limits)
    match heat:
        case "unknown":
            return _undecided(
                readings, limits, "the superheat is too near the target to tell"
            )
        case "right":
            return _found(
                readings,
                limits,
                "at-target",
                "the superheat is within its tolerance of the target",
            )
        case "high" if cool == "high":
            return _restriction(readings, limits)
        case "high" if cool == "right" and readings.subcooling_target is not None:
            return _found(
                readings,
                limits,
                "undecided",
                "the superheat is high, but the liquid is as the plate asks: it may be "
                "a restriction and not a shortage",
                "drier-drop",
            )
        case "high":
            return _shortage(readings, limits)
        case "low" if cool == "low":
            return _weak_compressor(readings, limits)
        case _:
            return _excess(readings, limits)


def _valve(readings: Readings, limits: Limits) -> Finding:
    heat, cool = superheat_level(readings, limits), subcooling_level(readings, limits)
    if cool == "unknown":
        return _undecided(
            readings, limits, "the subcooling is too near the target to tell"
        )
    if heat == "high" and cool != "low":
        return _restriction(readings, limits)
    if heat == "low" and cool == "low":
        return _weak_compressor(readings, limits)
    if heat == "low" and cool == "right":
        return _flooding(readings, limits)
    if cool == "low":
        return _shortage(readings, limits)
    if cool == "high":
        return _excess(readings, limits)
    return _found(
        readings,
        limits,
        "at-target",
        "the subcooling is within its tolerance of the target",
    )


def _undecided(readings: Readings, limits: Limits, reason: str) -> Finding:
    return _found(
        readings,
        limits,
        "undecided",
        f"{reason} within the error of the instruments; let it settle and read again",
        "settle-and-read",
    )


def _shortage(readings: Readings, limits: Limits) -> Finding:
    if readings.amps == "high":
        return _found(
            readings,
            limits,
            "undecided",
            "a shortage lowers the amps, but they are high",
            "amps",
        )
    return _found(
        readings, limits, "undercharged", "the signs agree on a shortage of refrigerant"
    )


def _excess(readings: Readings, limits: Limits) -> Finding:
    return _found(
        readings,
        limits,
        "overcharged",
        "the signs agree on too much refrigerant: recover some, add none; rule out "
        + (
            "too little indoor air first"
            if readings.metering == "fixed-orifice"
            else "air in the circuit by its standing pressure first"
        ),
        "air-flow" if readings.metering == "fixed-orifice" else "standing-pressure",
    )


def _restriction(readings: Readings, limits: Limits) -> Finding:
    return _found(
        readings,
        limits,
        "restriction-suspected",
        "high superheat without a lack of liquid means a restriction: look at "
        "the drier, the liquid line and the metering device",
        "drier-drop",
    )


def _flooding(readings: Readings, limits: Limits) -> Finding:
    return _found(
        readings,
        limits,
        "flooding-suspected",
        "low superheat at the right subcooling means a valve that feeds too "
        "much: look at its bulb and its opening",
        "valve-bulb",
    )


def _weak_compressor(readings: Readings, limits: Limits) -> Finding:
    return _found(
        readings,
        limits,
        "compressor-suspected",
        "superheat and subcooling both low point to the compressor, its valves "
        "or the condenser, not to the charge",
        "compressor",
    )

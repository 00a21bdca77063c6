"""Readings against targets: what is wrong, and whether refrigerant may be added.

Superheat and subcooling are each low, right or high. High superheat with low subcooling
is a shortage; the opposite an excess; both high a restriction; both low a compressor, a
condenser or too little air. On a fixed orifice the superheat speaks first, on a valve
the subcooling, because the valve holds its superheat until it is wide open. A fault
that another sign points to outweighs the charge: while it stands, nothing is added.

A value counts as out of its band when it is past the installer's tolerance *and* the
error band of the reading leaves no doubt on which side of the target it lies; a value
past the tolerance with such a doubt is undecided and read again. What has been added
cannot be taken back with the same hoses, so doubt never leads to adding.

References
----------
California Energy Commission, 2008 Reference Residential Appendix RA3.2 (tolerances,
validity); HVAC&R Research 4(3), 1998 (signs on a fixed orifice); ASHRAE RP-1173 (valve
wide open). Signs not in these are from memory.
"""

from companion.knowledge.criteria import judge_split
from companion.knowledge.findings import Finding, Level, Readings
from companion.knowledge.limits import Limits
from companion.knowledge.quantities import TemperatureDifference
from companion.knowledge.targets import Target


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
    return (
        _not_valid(readings, limits)
        or _hot_condenser(readings, limits)
        or _too_little_air(readings, limits)
        or (
            _orifice(readings, limits)
            if readings.metering == "fixed-orifice"
            else _valve(readings, limits)
        )
    )


def _not_valid(readings: Readings, limits: Limits) -> Finding | None:
    if readings.outdoor < limits.outdoor_min:
        return Finding(
            id="not-valid",
            reason=f"outdoors it is {readings.outdoor.f:.0f} F; a charge is judged at "
            f"{limits.outdoor_min.f:.0f} F or more",
        )
    orifice = readings.metering == "fixed-orifice"
    target = readings.superheat_target if orifice else readings.subcooling_target
    if target is None:
        needed = "the return wet bulb" if orifice else "the plate's target subcooling"
        return Finding(id="not-valid", reason=f"without {needed} there is no target")
    if target.kind != "target":
        return Finding(id="not-valid", reason=target.reason)
    return None


def _hot_condenser(readings: Readings, limits: Limits) -> Finding | None:
    over = readings.subcooling.saturation - readings.outdoor
    if over <= limits.condensing_over_outdoor_max:
        return None
    return Finding(
        id="condenser-suspected",
        reason=f"it condenses {over.f:.0f} F above the outdoor air: look at the coil, "
        "the fan, foreign gas and too much charge before anything is added",
        evidence=("head pressure high",),
    )


def _too_little_air(readings: Readings, limits: Limits) -> Finding | None:
    signs = []
    if readings.split is not None and _split_high(readings, limits):
        signs.append(f"air split of {readings.split.f:.0f} F high")
    cold = readings.superheat.saturation < limits.frost_point
    if cold and _superheat_level(readings, limits) == "low":
        signs.append("coil below freezing with low superheat")
    if not signs:
        return None
    return Finding(
        id="low-airflow-suspected",
        reason="too little air may pass the indoor coil, which looks like low charge on "
        "the gauge: check filter, coil, blower and registers first",
        evidence=tuple(signs),
    )


def _split_high(readings: Readings, limits: Limits) -> bool:
    if readings.split is None:
        return False
    if readings.split_target is None:
        return readings.split >= limits.split_high
    return judge_split(readings.split, readings.split_target, limits) == "low-airflow"


def _orifice(readings: Readings, limits: Limits) -> Finding:
    heat, cool = _superheat_level(readings, limits), _subcooling_level(readings, limits)
    signs = _signs(readings, heat, cool)
    if heat == "unknown":
        return _undecided(signs, "the superheat is too near the target to tell")
    if heat == "right":
        return Finding(
            id="at-target",
            reason="the superheat is within its tolerance of the target",
            evidence=signs,
        )
    if heat == "high":
        if cool == "high":
            return _restriction(signs)
        return _shortage(readings, signs)
    if cool == "low":
        return _weak_compressor(signs)
    return _excess(signs)


def _valve(readings: Readings, limits: Limits) -> Finding:
    heat, cool = _superheat_level(readings, limits), _subcooling_level(readings, limits)
    signs = _signs(readings, heat, cool)
    if cool == "unknown":
        return _undecided(signs, "the subcooling is too near the target to tell")
    if heat == "high" and cool != "low":
        return _restriction(signs)
    if heat == "low":
        if cool == "low":
            return _weak_compressor(signs)
        if cool == "right":
            return _flooding(signs)
    if cool == "low":
        return _shortage(readings, signs)
    if cool == "high":
        return _excess(signs)
    return Finding(
        id="at-target",
        reason="the subcooling is within its tolerance of the target",
        evidence=signs,
    )


def _level(
    value: TemperatureDifference,
    target: TemperatureDifference,
    tolerance: TemperatureDifference,
    uncertainty: TemperatureDifference,
) -> Level:
    """Compare a value with its target."""
    off_k = value.k - target.k
    # A difference of exactly the tolerance passes; the margin is for unit conversion.
    if abs(off_k) <= tolerance.k + 1e-6:
        return "right"
    if abs(off_k) <= uncertainty.k:
        return "unknown"
    return "high" if off_k > 0 else "low"


def _window(
    value: TemperatureDifference,
    low: TemperatureDifference,
    high: TemperatureDifference,
) -> Level:
    if value.k < low.k - 1e-6:
        return "low"
    return "high" if value.k > high.k + 1e-6 else "right"


def _superheat_level(readings: Readings, limits: Limits) -> Level:
    found = readings.superheat
    target = readings.superheat_target
    if readings.metering == "fixed-orifice":
        if not isinstance(target, Target):
            return "unknown"
        return _level(
            found.value, target.value, limits.superheat_tolerance, found.uncertainty
        )
    return _window(found.value, limits.valve_superheat_min, limits.valve_superheat_max)


def _subcooling_level(readings: Readings, limits: Limits) -> Level:
    found = readings.subcooling
    target = readings.subcooling_target
    if isinstance(target, Target):
        return _level(
            found.value, target.value, limits.subcooling_tolerance, found.uncertainty
        )
    return _window(found.value, limits.subcooling_low, limits.subcooling_high)


def _signs(readings: Readings, heat: Level, cool: Level) -> tuple[str, ...]:
    signs = [
        f"superheat {readings.superheat.value.f:.0f} F {heat}",
        f"subcooling {readings.subcooling.value.f:.0f} F {cool}",
    ]
    if readings.amps is not None:
        signs.append(f"amps {readings.amps}")
    return tuple(signs)


def _undecided(signs: tuple[str, ...], reason: str) -> Finding:
    return Finding(
        id="undecided",
        reason=f"{reason} within the error of the instruments; let it settle and read "
        "again",
        evidence=signs,
    )


def _shortage(readings: Readings, signs: tuple[str, ...]) -> Finding:
    if readings.amps == "high":
        return _undecided(signs, "a shortage lowers the amps, but they are high")
    return Finding(
        id="undercharged",
        reason="the signs agree on a shortage of refrigerant",
        evidence=signs,
    )


def _excess(signs: tuple[str, ...]) -> Finding:
    return Finding(
        id="overcharged",
        reason="the signs agree on too much refrigerant: recover some, add none",
        evidence=signs,
    )


def _restriction(signs: tuple[str, ...]) -> Finding:
    return Finding(
        id="restriction-suspected",
        reason="high superheat without a lack of liquid means a restriction: look at "
        "the drier, the liquid line and the metering device",
        evidence=signs,
    )


def _flooding(signs: tuple[str, ...]) -> Finding:
    return Finding(
        id="flooding-suspected",
        reason="low superheat at the right subcooling means a valve that feeds too "
        "much: look at its bulb and its opening",
        evidence=signs,
    )


def _weak_compressor(signs: tuple[str, ...]) -> Finding:
    return Finding(
        id="compressor-suspected",
        reason="superheat and subcooling both low point to the compressor, its valves "
        "or the condenser, not to the charge",
        evidence=signs,
    )

"""Single signs of a unit's state: is a reading low, right or high, and what that fits.

A reading is out of its band when it is past the installer's tolerance *and* its own
error band leaves no doubt on which side of the target it lies.

References
----------
California Energy Commission, 2008 Reference Residential Appendix RA3.2 (tolerances);
HVAC&R Research 4(3), 1998 (signs on a fixed orifice). Signs not in these are from memory.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from companion.knowledge.criteria import judge_split
from companion.knowledge.findings import FindingId, Level, Readings
from companion.knowledge.limits import Limits
from companion.knowledge.quantities import TemperatureDifference
from companion.knowledge.targets import Target

SignName = Literal["superheat", "subcooling", "split", "amps", "head", "standing"]
_EDGE_K = 1e-6  # a difference of exactly the tolerance passes, through conversions


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One sign: what was read, how it stands, and in words."""

    name: SignName
    level: Level
    text: str


# What each finding goes with. Amps and split that stay normal contradict nothing.
_EITHER_LOW: frozenset[Level] = frozenset({"low", "right"})
_EITHER_HIGH: frozenset[Level] = frozenset({"high", "right"})
_LOW: frozenset[Level] = frozenset({"low"})
_RIGHT: frozenset[Level] = frozenset({"right"})
_HIGH: frozenset[Level] = frozenset({"high"})
_FITS: Mapping[FindingId, Mapping[SignName, frozenset[Level]]] = {
    "undercharged": {
        "superheat": _EITHER_HIGH,
        "subcooling": _EITHER_LOW,
        "split": _EITHER_LOW,
        "amps": _EITHER_LOW,
        "head": _EITHER_LOW,
        "standing": _RIGHT,
    },
    "at-target": {
        "superheat": _RIGHT,
        "subcooling": _RIGHT,
        "split": _RIGHT,
        "amps": _RIGHT,
        "head": _RIGHT,
        "standing": _RIGHT,
    },
    "overcharged": {
        "superheat": _EITHER_LOW,
        "subcooling": _HIGH,
        "amps": _EITHER_HIGH,
        "head": _EITHER_HIGH,
        "standing": _RIGHT,
    },
    "restriction-suspected": {
        "superheat": _HIGH,
        "subcooling": _EITHER_HIGH,
        "split": _EITHER_LOW,
        "amps": _EITHER_LOW,
        "head": _EITHER_LOW,
    },
    "low-airflow-suspected": {
        "superheat": _EITHER_LOW,
        "subcooling": _EITHER_LOW,
        "split": _HIGH,
        "amps": _EITHER_LOW,
        "head": _EITHER_LOW,
    },
    "flooding-suspected": {"superheat": _LOW, "subcooling": _RIGHT},
    "condenser-suspected": {
        "superheat": _EITHER_LOW,
        "subcooling": _EITHER_LOW,
        "amps": _HIGH,
        "head": _HIGH,
        "standing": _RIGHT,
    },
    "compressor-suspected": {
        "superheat": _LOW,
        "subcooling": _LOW,
        "split": _EITHER_LOW,
        "amps": _EITHER_LOW,
        "head": _EITHER_LOW,
    },
    "non-condensables-suspected": {
        "subcooling": _HIGH,
        "amps": _HIGH,
        "head": _HIGH,
        "standing": _HIGH,
    },
    "wrong-refrigerant-suspected": {"standing": _LOW},
    "not-valid": {},
    "undecided": {},
}


def weigh(
    finding: FindingId, signs: tuple[Sign, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sort signs into those that speak for a finding and those against it.

    A sign that the finding says nothing about, or whose level is not certain, speaks
    neither way. Where nothing is decided, every sign is evidence of that.
    """
    fits = _FITS[finding]
    if not fits:
        return tuple(sign.text for sign in signs), ()
    certain = [sign for sign in signs if sign.level != "unknown" and sign.name in fits]
    return (
        tuple(sign.text for sign in certain if sign.level in fits[sign.name]),
        tuple(sign.text for sign in certain if sign.level not in fits[sign.name]),
    )


def signs_of(readings: Readings, limits: Limits) -> tuple[Sign, ...]:
    """Give every sign that the readings hold."""
    heat, cool = readings.superheat.value, readings.subcooling.value
    heat_level = superheat_level(readings, limits)
    cool_level = subcooling_level(readings, limits)
    found = [
        Sign(
            name="superheat",
            level=heat_level,
            text=f"superheat {heat.f:.0f} F {_said(heat_level)}",
        ),
        Sign(
            name="subcooling",
            level=cool_level,
            text=f"subcooling {cool.f:.0f} F {_said(cool_level)}",
        ),
    ]
    if head_high(readings, limits):
        found.append(Sign(name="head", level="high", text="head pressure high"))
    if readings.amps is not None:
        level: Level = "right" if readings.amps == "normal" else readings.amps
        found.append(Sign(name="amps", level=level, text=f"amps {readings.amps}"))
    split = _split_sign(readings, limits)
    standing = _standing_sign(readings, limits)
    return (*found, *(each for each in (split, standing) if each is not None))


def _said(level: Level) -> str:
    return "too near the target to tell" if level == "unknown" else level


def head_high(readings: Readings, limits: Limits) -> bool:
    """Tell whether it condenses too far above the outdoor air."""
    over = readings.subcooling.saturation - readings.outdoor
    return over > limits.condensing_over_outdoor_max


def split_high(readings: Readings, limits: Limits) -> bool:
    """Tell whether the air cools so far that too little of it can be passing."""
    sign = _split_sign(readings, limits)
    return sign is not None and sign.level == "high"


def _split_sign(readings: Readings, limits: Limits) -> Sign | None:
    split = readings.split
    if split is None:
        return None
    level: Level
    if readings.split_target is None:
        level = "high" if split >= limits.split_high else "unknown"
    else:
        verdict = judge_split(split, readings.split_target, limits)
        level = {"low-airflow": "high", "low-capacity": "low"}.get(verdict, "right")  # type: ignore[assignment]
    return Sign(name="split", level=level, text=f"air split {split.f:.0f} F {level}")


def _standing_sign(readings: Readings, limits: Limits) -> Sign | None:
    off = readings.standing_off
    if off is None:
        return None
    level: Level = "right"
    if abs(off.pa) > limits.standing_off_max.pa + 1:
        level = "high" if off.pa > 0 else "low"
    text = f"standing pressure {off.psi:+.0f} psi off saturation"
    return Sign(name="standing", level=level, text=text)


def superheat_level(readings: Readings, limits: Limits) -> Level:
    """Compare the superheat with its target, or a valve's with its usual range."""
    found = readings.superheat
    target = readings.superheat_target
    if readings.metering == "fixed-orifice":
        if not isinstance(target, Target):
            return "unknown"
        return _level(
            found.value, target.value, limits.superheat_tolerance, found.uncertainty
        )
    return _window(found.value, limits.valve_superheat_min, limits.valve_superheat_max)


def subcooling_level(readings: Readings, limits: Limits) -> Level:
    """Compare the subcooling with the plate's, or with what is low and high anywhere."""
    found = readings.subcooling
    target = readings.subcooling_target
    if isinstance(target, Target):
        return _level(
            found.value, target.value, limits.subcooling_tolerance, found.uncertainty
        )
    return _window(found.value, limits.subcooling_low, limits.subcooling_high)


def _level(
    value: TemperatureDifference,
    target: TemperatureDifference,
    tolerance: TemperatureDifference,
    uncertainty: TemperatureDifference,
) -> Level:
    """Compare a value with its target."""
    off_k = value.k - target.k
    if abs(off_k) <= tolerance.k + _EDGE_K:
        return "right"
    if abs(off_k) <= uncertainty.k:
        return "unknown"
    return "high" if off_k > 0 else "low"


def _window(
    value: TemperatureDifference,
    low: TemperatureDifference,
    high: TemperatureDifference,
) -> Level:
    if value.k < low.k - _EDGE_K:
        return "low"
    return "high" if value.k > high.k + _EDGE_K else "right"

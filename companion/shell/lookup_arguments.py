"""The arguments of the look-ups, as typed: ``68psig``, ``43F``, ``5000ft``, ``30%``."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeVar, get_args

from companion.knowledge.methods import Metering
from companion.knowledge.quantities import (
    M_PER_IN,
    AbsolutePressure,
    GaugePressure,
    ImpossibleValueError,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    Volume,
    parse_quantity,
    standard_atmosphere,
)
from companion.shell.lookup_answer import LookupRefusal, LookupUsage

SEA_LEVEL = "0ft"


def _parsed(name: str, text: str) -> Quantity:
    try:
        return parse_quantity(text)
    except ImpossibleValueError as error:
        raise LookupRefusal("impossible", f"{name}: {error}") from error
    except ValueError as error:
        raise LookupUsage(f"{name}: {error}") from error


def temperature(name: str, text: str) -> Temperature:
    """Read a temperature argument.

    Raises
    ------
    LookupUsage
        If it is no temperature.
    """
    found = _parsed(name, text)
    if isinstance(found, Temperature):
        return found
    raise LookupUsage(f"{name} takes a temperature such as 55F or 13C, not {text!r}")


def temperature_or_none(name: str, text: str | None) -> Temperature | None:
    """Read a temperature argument that may be left out."""
    return None if text is None else temperature(name, text)


def difference(name: str, text: str) -> TemperatureDifference:
    """Read an argument that is a difference of temperatures, written as ``10F``.

    Raises
    ------
    LookupUsage
        If it is not written as a temperature.
    """
    found = temperature(name, text)
    match text.strip()[-1].upper():
        case "F":
            return TemperatureDifference.from_f(found.f)
        case "C":
            return TemperatureDifference(found.c)
        case _:
            return TemperatureDifference(found.k)


def difference_or_none(name: str, text: str | None) -> TemperatureDifference | None:
    """Read a difference argument that may be left out."""
    return None if text is None else difference(name, text)


def ambient(altitude: str, air: str | None = None) -> AbsolutePressure:
    """Give the air pressure at an altitude argument, or as stated.

    Parameters
    ----------
    altitude
        Height of the site; not looked at if the pressure is stated.
    air
        The local air pressure itself, absolute.

    Raises
    ------
    LookupUsage
        If one is of the wrong kind.
    LookupRefusal
        If no road is so high or so low.
    """
    if air is not None:
        return _stated(air)
    found = length("--altitude", altitude)
    try:
        return standard_atmosphere(found)
    except ValueError as error:
        raise LookupRefusal("altitude", f"--altitude: {error}") from error


def _stated(air: str) -> AbsolutePressure:
    found = _parsed("--air", air)
    if not isinstance(found, AbsolutePressure):
        raise LookupUsage(
            f"--air takes an absolute pressure such as 84kPa, not {air!r}"
        )
    low, high = (standard_atmosphere(Length(m)) for m in (5000, -500))
    if not low <= found <= high:
        raise LookupRefusal(
            "altitude",
            f"--air: {found.kpa:.1f} kPa is no air pressure of a road ({low.kpa:.0f} to "
            f"{high.kpa:.0f} kPa); give the local air pressure, not reduced to sea level",
        )
    return found


def absolute_pressure(name: str, text: str, air: AbsolutePressure) -> AbsolutePressure:
    """Read a pressure argument, gauge or absolute.

    Raises
    ------
    LookupUsage
        If it is no pressure.
    LookupRefusal
        If it is below a perfect vacuum.
    """
    found = _parsed(name, text)
    match found:
        case AbsolutePressure():
            return found
        case GaugePressure():
            try:
                return found.absolute(air)
            except ValueError as error:
                raise LookupRefusal("below-vacuum", f"{name}: {error}") from error
        case _:
            raise LookupUsage(
                f"{name} takes a pressure such as 68psig, 4.7barg or 570kPa "
                f"(absolute), not {text!r}"
            )


def gauge_pressure(name: str, text: str, air: AbsolutePressure) -> GaugePressure:
    """Read a pressure argument as what a gauge shows; raises as above."""
    return absolute_pressure(name, text, air).gauge(air)


def mass(name: str, text: str) -> Mass:
    """Read a mass argument; LookupUsage if it is none, a refusal if below zero."""
    found = _parsed(name, text)
    if isinstance(found, Mass):
        if found.kg < 0:
            raise LookupRefusal("impossible", f"{name}: {text} is below zero")
        return found
    raise LookupUsage(f"{name} takes a mass such as 96oz, 6lb or 2.7kg, not {text!r}")


def length(name: str, text: str) -> Length:
    """Read a length argument; LookupUsage if it is none."""
    found = _parsed(name, text)
    if isinstance(found, Length):
        return found
    raise LookupUsage(f"{name} takes a length such as 40ft or 12m, not {text!r}")


def bore(name: str, text: str) -> Length:
    """Read a diameter: ``8mm``, ``0.25in``, or a fraction of an inch as ``3/8``."""
    top, slash, below = text.strip().lower().removesuffix("in").partition("/")
    if not slash:
        return length(name, text)
    try:
        return Length(float(top) / float(below) * M_PER_IN)
    except (ValueError, ZeroDivisionError) as error:
        raise LookupUsage(
            f"{name} takes a diameter such as 3/8, 0.25in or 8mm, not {text!r}"
        ) from error


def _time(name: str, text: str, units: Mapping[str, float]) -> float:
    """Read a time [s], in the unit written or the first one listed."""
    found = _TIME.match(text.strip().lower())
    if found is not None:
        number, unit = found.groups()
        factor = units.get(unit or next(iter(units)))
        if factor is not None:
            return float(number) * factor
    raise LookupUsage(f"{name} takes a time such as 20min or 15s, not {text!r}")


_TIME = re.compile(r"(\d+(?:\.\d*)?|\.\d+)\s*([a-z]*)\Z")


def minutes(name: str, text: str) -> float:
    """Read a time [min]: ``20min``, ``1200s``, ``0.5h``, or a bare number of minutes."""
    return _time(name, text, {"min": 60, "m": 60, "s": 1, "h": 3600}) / 60


def seconds(name: str, text: str) -> float:
    """Read a time [s]: ``15s``, ``0.25min``, or a bare number of seconds."""
    return _time(name, text, {"s": 1, "min": 60})


def volume(name: str, text: str) -> Volume:
    """Read a volume argument; LookupUsage if it is none."""
    found = _parsed(name, text)
    if isinstance(found, Volume):
        return found
    raise LookupUsage(f"{name} takes a volume such as 12L, not {text!r}")


def fraction(name: str, text: str) -> float:
    """Read a share, written as ``0.3`` or ``30%``.

    Raises
    ------
    LookupUsage
        If it is no number.
    LookupRefusal
        If it is outside 0 to 1.
    """
    number, percent = text.strip().removesuffix("%"), text.strip().endswith("%")
    try:
        found = float(number) / (100 if percent else 1)
    except ValueError as error:
        raise LookupUsage(
            f"{name} takes a share such as 0.3 or 30%, not {text!r}"
        ) from error
    if not 0 <= found <= 1:  # not-a-number fails this too
        raise LookupRefusal(
            "outside-range",
            f"{name}: {text} is not between 0 and 1 (0% and 100%); give the share of "
            "the whole",
        )
    return found


Choice = TypeVar("Choice", bound=str)
UNKNOWN = "unknown"
"""What is typed for an input that was looked for and cannot be told."""
_METERING_ALSO: Mapping[str, Metering] = {
    "orifice": "fixed-orifice",
    "piston": "fixed-orifice",
    "capillary": "fixed-orifice",
    "capillary-tube": "fixed-orifice",
    "txv": "thermostatic",
    "tev": "thermostatic",
    "eev": "electronic",
    "exv": "electronic",
}
"""Other trade names of the metering devices."""


def word(text: str) -> str:
    """Bring a word as typed into the form that the choices have."""
    return "-".join(text.lower().replace("_", " ").replace("-", " ").split())


def choice(name: str, text: str | None, allowed: Sequence[Choice]) -> Choice | None:
    """Read an argument that is one of a few words in any case, or left out.

    Raises
    ------
    LookupUsage
        If it is none of them.
    """
    if text is None:
        return None
    for each in allowed:
        if word(text) == each:
            return each
    raise LookupUsage(f"{name} takes one of {', '.join(allowed)}, not {text!r}")


def metering(name: str, text: str | None) -> Metering | None:
    """Read a metering device, also by the trade's short names, or left out."""
    if text is None:
        return None
    also = _METERING_ALSO.get(word(text))
    return also or choice(name, text, get_args(Metering))


def is_unknown(text: str | None) -> bool:
    """Tell whether an argument says that its value cannot be told."""
    return text is not None and word(text) in (UNKNOWN, "dont-know", "don't-know")

"""What every look-up has in common: its answer, its refusals, and its arguments.

Arguments come as typed on the command line: ``68psig``, ``43F``, ``5000ft``. A value of
the wrong kind, such as a temperature where a pressure is due, is wrong usage; a right
question without an answer, such as a pressure outside every table, is a refusal.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.errors import CompanionError
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    parse_quantity,
    standard_atmosphere,
)
from companion.knowledge.tables import Citation

SEA_LEVEL = "0ft"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer of a look-up: for machines, and as a few plain sentences."""

    json: Mapping[str, Any]
    text: str


class LookupRefusal(CompanionError):  # noqa: N818 - expected, not an error
    """A question that has no answer, and what to do instead; exit code 1."""

    def __init__(self, kind: str, message: str) -> None:
        self.kind = kind
        self.message = message
        super().__init__(message)

    @property
    def json(self) -> dict[str, Any]:
        """The refusal as the look-ups print it."""
        return {"refusal": {"kind": self.kind, "message": self.message}}


class LookupUsage(CompanionError, ValueError):  # noqa: N818 - as above
    """An argument of the wrong kind; exit code 2."""


def find_refrigerant(knowledge: Knowledge, designation: str) -> Refrigerant:
    """Give a supported refrigerant.

    Raises
    ------
    LookupRefusal
        If it is not known, not supported or out of scope.
    """
    found = knowledge.catalogue.get(designation)
    if isinstance(found, Refrigerant):
        return found
    raise LookupRefusal(found.kind, found.reason)


def source_text(knowledge: Knowledge, citation: Citation) -> str:
    """Give a citation in full: the reference, the place in it, and the mark."""
    reference = knowledge.sources[citation.source].reference.rstrip(".")
    return f"{reference}: {citation.at} [{citation.mark}]"


def shown(value: float) -> float:
    """Round a number for an answer: nothing measured needs more digits."""
    return round(value, 4)


def _parsed(name: str, text: str) -> Quantity:
    try:
        return parse_quantity(text)
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


def ambient(altitude: str) -> AbsolutePressure:
    """Give the air pressure at an altitude argument.

    Raises
    ------
    LookupUsage
        If it is no length, or no altitude of a road.
    """
    found = length("--altitude", altitude)
    try:
        return standard_atmosphere(found)
    except ValueError as error:
        raise LookupUsage(f"--altitude: {error}") from error


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
    """Read a mass argument; LookupUsage if it is none."""
    found = _parsed(name, text)
    if isinstance(found, Mass):
        return found
    raise LookupUsage(f"{name} takes a mass such as 96oz, 6lb or 2.7kg, not {text!r}")


def length(name: str, text: str) -> Length:
    """Read a length argument; LookupUsage if it is none."""
    found = _parsed(name, text)
    if isinstance(found, Length):
        return found
    raise LookupUsage(f"{name} takes a length such as 40ft or 12m, not {text!r}")


Choice = TypeVar("Choice", bound=str)


def choice(name: str, text: str | None, allowed: Sequence[Choice]) -> Choice | None:
    """Read an argument that is one of a few words, or left out.

    Raises
    ------
    LookupUsage
        If it is none of them.
    """
    if text is None:
        return None
    for each in allowed:
        if text == each:
            return each
    raise LookupUsage(f"{name} takes one of {', '.join(allowed)}, not {text!r}")

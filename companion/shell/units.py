"""The technician's units: the only place where they are chosen."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from companion.job.amounts import Amount, AmountKind
from companion.knowledge.quantities import (
    KG_PER_LB,
    KG_PER_OZ,
    PA_PER_PSI,
    GaugePressure,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
)

System = Literal["us", "si"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit of one kind of quantity.

    Attributes
    ----------
    id
        As the hearing side names it.
    spoken, printed
        Its name in a spoken and in a printed sentence.
    decimals
        Decimals worth saying.
    make
        From a number in this unit to the quantity.
    read
        From the SI number to the number in this unit.
    """

    id: str
    kind: AmountKind
    spoken: str
    printed: str
    decimals: int
    make: Callable[[float], Quantity]
    read: Callable[[float], float]


_ALL = (
    Unit(
        id="psi",
        kind="gauge-pressure",
        spoken="p s i",
        printed="psig",
        decimals=1,
        make=GaugePressure.from_psi,
        read=lambda si: si / PA_PER_PSI,
    ),
    Unit(
        id="bar",
        kind="gauge-pressure",
        spoken="bar",
        printed="bar gauge",
        decimals=1,
        make=GaugePressure.from_bar,
        read=lambda si: si / 1e5,
    ),
    Unit(
        id="kpa",
        kind="gauge-pressure",
        spoken="kilopascal",
        printed="kPa gauge",
        decimals=0,
        make=GaugePressure.from_kpa,
        read=lambda si: si / 1e3,
    ),
    Unit(
        id="f",
        kind="temperature",
        spoken="Fahrenheit",
        printed="F",
        decimals=1,
        make=Temperature.from_f,
        read=lambda si: Temperature(si).f,
    ),
    Unit(
        id="c",
        kind="temperature",
        spoken="Celsius",
        printed="C",
        decimals=1,
        make=Temperature.from_c,
        read=lambda si: Temperature(si).c,
    ),
    Unit(
        id="f",
        kind="temperature-difference",
        spoken="degrees",
        printed="F",
        decimals=0,
        make=TemperatureDifference.from_f,
        read=lambda si: TemperatureDifference(si).f,
    ),
    Unit(
        id="c",
        kind="temperature-difference",
        spoken="kelvin",
        printed="K",
        decimals=1,
        make=TemperatureDifference,
        read=lambda si: si,
    ),
    Unit(
        id="oz",
        kind="mass",
        spoken="ounces",
        printed="oz",
        decimals=1,
        make=Mass.from_oz,
        read=lambda si: si / KG_PER_OZ,
    ),
    Unit(
        id="lb",
        kind="mass",
        spoken="pounds",
        printed="lb",
        decimals=1,
        make=Mass.from_lb,
        read=lambda si: si / KG_PER_LB,
    ),
    Unit(
        id="g",
        kind="mass",
        spoken="grams",
        printed="g",
        decimals=0,
        make=lambda value: Mass(value / 1000),
        read=lambda si: si * 1000,
    ),
    Unit(
        id="kg",
        kind="mass",
        spoken="kilograms",
        printed="kg",
        decimals=2,
        make=Mass,
        read=lambda si: si,
    ),
)

UNITS: Mapping[tuple[str, str], Unit] = MappingProxyType(
    {(each.kind, each.id): each for each in _ALL}
)
"""Unit by kind of quantity and id."""

_SYSTEMS: Mapping[System, Mapping[str, str]] = MappingProxyType(
    {
        "us": {
            "gauge-pressure": "psi",
            "temperature": "f",
            "temperature-difference": "f",
            "mass": "oz",
        },
        "si": {
            "gauge-pressure": "bar",
            "temperature": "c",
            "temperature-difference": "c",
            "mass": "kg",
        },
    }
)


def unit_of(kind: str, system: System) -> Unit:
    """Give the unit a technician of this system uses for a kind of quantity."""
    return UNITS[kind, _SYSTEMS[system][kind]]


def spoken_unit(name: str) -> str:
    """Give the spoken name of a unit by its id, of whatever kind."""
    return next((each.spoken for each in _ALL if each.id == name), name)


def number_in(amount: Amount, unit: Unit) -> str:
    """Give an amount's number in a unit, rounded to what is worth saying."""
    text = f"{unit.read(amount.si):.{unit.decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text

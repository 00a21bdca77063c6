"""Quantities that cross borders: pressure, temperature, mass, length, volume, time.

A gauge pressure is not an absolute one, and a temperature is not a temperature
difference; each has its own type, one SI field, named constructors and named
properties. Only :meth:`GaugePressure.absolute` turns a gauge reading into an
absolute pressure, and it needs the local air pressure to do so. Not-a-number and
infinity are refused where the value is made.

Exact unit factors are those of NIST Special Publication 811 (2008), appendix B.
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Self

PA_PER_PSI = 6894.757293168361  # lbf/in2 from the exact pound, inch and g_n
PA_PER_INHG = 3386.389  # conventional inch of mercury, 0 degC
PA_PER_MICRON = 101325 / 760000  # micrometer of mercury by the standard atmosphere
KG_PER_LB = 0.45359237
KG_PER_OZ = KG_PER_LB / 16
M_PER_FT = 0.3048
M_PER_IN = 0.0254
K_AT_0_C = 273.15
K_PER_F = 5 / 9


class ImpossibleValueError(ValueError):
    """A number with a known unit whose value cannot exist, such as below a vacuum."""


def _finite(value: float, what: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{what} must be a finite number, not {value}")
    return float(value)


@dataclass(frozen=True, slots=True, order=True)
class TemperatureDifference:
    """A difference between two temperatures [K], such as a superheat."""

    k: float

    def __post_init__(self) -> None:
        _finite(self.k, "a temperature difference")

    @classmethod
    def from_f(cls, degrees: float) -> Self:
        """Make from Fahrenheit degrees of difference."""
        return cls(degrees * K_PER_F)

    @property
    def f(self) -> float:
        """The difference in Fahrenheit degrees."""
        return self.k / K_PER_F


@dataclass(frozen=True, slots=True, order=True)
class Temperature:
    """A temperature [K]; below absolute zero is refused."""

    k: float

    def __post_init__(self) -> None:
        if _finite(self.k, "a temperature") < 0:
            raise ValueError(f"{self.k} K is below absolute zero")

    @classmethod
    def from_c(cls, degrees: float) -> Self:
        """Make from degrees Celsius."""
        return cls(degrees + K_AT_0_C)

    @classmethod
    def from_f(cls, degrees: float) -> Self:
        """Make from degrees Fahrenheit."""
        return cls((degrees - 32) * K_PER_F + K_AT_0_C)

    @property
    def c(self) -> float:
        """Degrees Celsius."""
        return self.k - K_AT_0_C

    @property
    def f(self) -> float:
        """Degrees Fahrenheit."""
        return (self.k - K_AT_0_C) / K_PER_F + 32

    def __sub__(self, other: "Temperature") -> TemperatureDifference:
        return TemperatureDifference(self.k - other.k)

    def __add__(self, change: TemperatureDifference) -> "Temperature":
        return Temperature(self.k + change.k)


@dataclass(frozen=True, slots=True, order=True)
class PressureDifference:
    """A difference between two pressures [Pa], such as a rise on the gauge."""

    pa: float

    def __post_init__(self) -> None:
        _finite(self.pa, "a pressure difference")

    @classmethod
    def from_psi(cls, value: float) -> Self:
        """Make from pounds per square inch of difference."""
        return cls(value * PA_PER_PSI)

    @property
    def psi(self) -> float:
        """Pounds per square inch of difference."""
        return self.pa / PA_PER_PSI

    @property
    def kpa(self) -> float:
        """Kilopascal of difference."""
        return self.pa / 1000


@dataclass(frozen=True, slots=True, order=True)
class AbsolutePressure:
    """A pressure above perfect vacuum [Pa]; negative is refused."""

    pa: float

    def __post_init__(self) -> None:
        if _finite(self.pa, "an absolute pressure") < 0:
            raise ValueError(f"{self.pa} Pa is below a perfect vacuum")

    @classmethod
    def from_kpa(cls, value: float) -> Self:
        """Make from kilopascal absolute."""
        return cls(value * 1000)

    @classmethod
    def from_psi(cls, value: float) -> Self:
        """Make from pounds per square inch absolute."""
        return cls(value * PA_PER_PSI)

    @classmethod
    def from_micron(cls, value: float) -> Self:
        """Make from microns of mercury, as vacuum gauges show them."""
        return cls(value * PA_PER_MICRON)

    @property
    def micron(self) -> float:
        """Microns of mercury."""
        return self.pa / PA_PER_MICRON

    @property
    def inhg(self) -> float:
        """Inches of mercury, absolute."""
        return self.pa / PA_PER_INHG

    @property
    def kpa(self) -> float:
        """Kilopascal absolute."""
        return self.pa / 1000

    @property
    def psi(self) -> float:
        """Pounds per square inch absolute."""
        return self.pa / PA_PER_PSI

    def gauge(self, ambient: "AbsolutePressure") -> "GaugePressure":
        """Give what a gauge zeroed to the local air would show."""
        return GaugePressure(self.pa - ambient.pa)

    def __sub__(self, other: "AbsolutePressure") -> PressureDifference:
        return PressureDifference(self.pa - other.pa)


@dataclass(frozen=True, slots=True, order=True)
class GaugePressure:
    """A pressure above the local air [Pa]; below it is negative (a vacuum)."""

    pa: float

    def __post_init__(self) -> None:
        _finite(self.pa, "a gauge pressure")

    @classmethod
    def from_psi(cls, value: float) -> Self:
        """Make from pounds per square inch gauge."""
        return cls(value * PA_PER_PSI)

    @classmethod
    def from_kpa(cls, value: float) -> Self:
        """Make from kilopascal gauge."""
        return cls(value * 1000)

    @classmethod
    def from_bar(cls, value: float) -> Self:
        """Make from bar gauge."""
        return cls(value * 1e5)

    @property
    def psi(self) -> float:
        """Pounds per square inch gauge."""
        return self.pa / PA_PER_PSI

    @property
    def kpa(self) -> float:
        """Kilopascal gauge."""
        return self.pa / 1000

    @property
    def bar(self) -> float:
        """Bar gauge."""
        return self.pa / 1e5

    def absolute(self, ambient: AbsolutePressure) -> AbsolutePressure:
        """Give the absolute pressure where the air stands at ``ambient``.

        Raises
        ------
        ValueError
            If the gauge reading is below a perfect vacuum there.
        """
        if self.pa + ambient.pa < 0:
            raise ValueError(
                f"{self.psi:.1f} psi gauge is below a perfect vacuum "
                f"where the air stands at {ambient.psi:.1f} psi"
            )
        return AbsolutePressure(self.pa + ambient.pa)

    def __sub__(self, other: "GaugePressure") -> PressureDifference:
        return PressureDifference(self.pa - other.pa)

    def __add__(self, change: PressureDifference) -> "GaugePressure":
        return GaugePressure(self.pa + change.pa)


@dataclass(frozen=True, slots=True, order=True)
class Mass:
    """A mass [kg]; a negative one is a mass taken away."""

    kg: float

    def __post_init__(self) -> None:
        _finite(self.kg, "a mass")

    @classmethod
    def from_lb(cls, value: float) -> Self:
        """Make from pounds."""
        return cls(value * KG_PER_LB)

    @classmethod
    def from_oz(cls, value: float) -> Self:
        """Make from ounces (avoirdupois)."""
        return cls(value * KG_PER_OZ)

    @property
    def lb(self) -> float:
        """Pounds."""
        return self.kg / KG_PER_LB

    @property
    def oz(self) -> float:
        """Ounces (avoirdupois)."""
        return self.kg / KG_PER_OZ

    def __add__(self, other: "Mass") -> "Mass":
        return Mass(self.kg + other.kg)

    def __sub__(self, other: "Mass") -> "Mass":
        return Mass(self.kg - other.kg)


@dataclass(frozen=True, slots=True, order=True)
class Length:
    """A length or height [m]."""

    m: float

    def __post_init__(self) -> None:
        _finite(self.m, "a length")

    @classmethod
    def from_ft(cls, value: float) -> Self:
        """Make from feet."""
        return cls(value * M_PER_FT)

    @property
    def ft(self) -> float:
        """Feet."""
        return self.m / M_PER_FT


@dataclass(frozen=True, slots=True, order=True)
class Volume:
    """A volume [m3]; negative is refused."""

    m3: float

    def __post_init__(self) -> None:
        if _finite(self.m3, "a volume") < 0:
            raise ValueError(f"a volume of {self.m3} m3 is below zero")

    @classmethod
    def from_litre(cls, value: float) -> Self:
        """Make from liters."""
        return cls(value / 1000)

    @property
    def litre(self) -> float:
        """Liters."""
        return self.m3 * 1000


Quantity = (
    AbsolutePressure
    | GaugePressure
    | Temperature
    | TemperatureDifference
    | Mass
    | Length
    | Volume
)

_UNITS: dict[str, Callable[[float], Quantity]] = {
    "psig": GaugePressure.from_psi,
    "barg": GaugePressure.from_bar,
    "kpag": GaugePressure.from_kpa,
    "inhg": lambda v: GaugePressure(-v * PA_PER_INHG),  # as low-side gauges print it
    "psia": AbsolutePressure.from_psi,
    "kpa": AbsolutePressure.from_kpa,
    "pa": AbsolutePressure,
    "mpa": lambda v: AbsolutePressure(v * 1e6),
    "mpag": lambda v: GaugePressure(v * 1e6),
    "micron": AbsolutePressure.from_micron,
    "microns": AbsolutePressure.from_micron,
    "bara": lambda v: AbsolutePressure(v * 1e5),
    "f": Temperature.from_f,
    "c": Temperature.from_c,
    "k": Temperature,
    "kg": Mass,
    "g": lambda v: Mass(v / 1000),
    "lb": Mass.from_lb,
    "oz": Mass.from_oz,
    "l": Volume.from_litre,
    "m": Length,
    "mm": lambda v: Length(v / 1000),
    "ft": Length.from_ft,
    "in": lambda v: Length(v * M_PER_IN),
}
_WRITTEN = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([A-Za-z]*)\s*\Z")


def parse_quantity(text: str) -> Quantity:
    """Read a quantity written with its unit, such as ``68psig`` or ``43F``.

    ``psig``, ``barg`` and ``kpag`` are gauge pressures, ``inHg`` is a vacuum on a
    gauge; ``psia``, ``bara``, ``kPa`` and ``micron`` are absolute; ``F``, ``C`` and ``K`` are
    temperatures.

    Raises
    ------
    ImpossibleValueError
        If the value cannot exist (below absolute zero, below a vacuum).
    ValueError
        If the text is no number, or its unit is missing or unknown. The message says
        what to write instead.
    """
    found = _WRITTEN.match(text)
    if found is None:
        raise ValueError(
            f"{text!r} is not a number with a unit; write for example 68psig"
        )
    number, unit = found.groups()
    if not unit:
        raise ValueError(
            f"{text!r} has no unit; write it with no space, for example "
            f"{number}psig, {number}F or {number}kg"
        )
    make = _UNITS.get(unit.lower())
    if make is None:
        known = " ".join(_UNITS)
        raise ValueError(f"the unit {unit!r} in {text!r} is not known; known: {known}")
    try:
        return make(float(number))
    except ValueError as error:
        raise ImpossibleValueError(f"{text!r} cannot be: {error}") from error


def standard_atmosphere(altitude: Length) -> AbsolutePressure:
    """Give the air pressure at an altitude in the standard atmosphere.

    Valid from -500 m to 5000 m, which holds every road; outside it is refused
    rather than extrapolated.

    Raises
    ------
    ValueError
        If the altitude is outside the range above.

    References
    ----------
    ISO 2533:1975, standard atmosphere, troposphere layer; evaluated here as
    101325 (1 - 2.25577e-5 h)^5.25588.
    """
    if not -500 <= altitude.m <= 5000:
        raise ValueError(
            f"an altitude of {altitude.m:.0f} m ({altitude.ft:.0f} ft) is outside "
            "-500 to 5000 m; give the local altitude"
        )
    return AbsolutePressure(101325 * (1 - 2.25577e-5 * altitude.m) ** 5.25588)

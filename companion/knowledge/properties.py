"""Saturation, and the superheat and subcooling built on it.

Superheat is measured from the *dew* point at the suction pressure, subcooling from the
*bubble* point at the liquid pressure. For a zeotrope the two differ by the glide: on
R-407C at 68 psig, taking the wrong one costs 11 degrees Fahrenheit. Temperature and
pressure belong to the same place on the pipe.

References
----------
California Energy Commission, 2008 Reference Residential Appendix RA3.2 (definitions);
2013 edition (accuracy of the instruments).
"""

import math
from dataclasses import dataclass
from typing import Literal, Protocol

from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)

COLDEST, HOTTEST = Temperature.from_c(-45), Temperature.from_c(66)
"""Where superheat and subcooling are worked with: the coil of a unit far short of
charge, and a hot condenser. Colder, the circuit is all but empty; the tables reach
further only to hold the normal points."""

Curve = Literal["bubble", "dew"]
"""Bubble: the liquid begins to boil. Dew: the last liquid is gone."""


class Substance(Protocol):
    """What has a saturation table: a refrigerant, or a fluid known for that only."""

    @property
    def designation(self) -> str:
        """As in ANSI/ASHRAE Standard 34."""

    @property
    def saturation_error(self) -> TemperatureDifference:
        """What its table may be off, as temperature."""

    @property
    def pressure_error_pct(self) -> float:
        """What its table may be off, as pressure [%]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideTable:
    """A saturation look-up outside what is tabulated; nothing is extrapolated.

    Attributes
    ----------
    what
        Which input was outside.
    designation
        The refrigerant.
    asked
        The input as given.
    low, high
        The range that the table covers, of the same quantity as ``asked``.
    of
        What it is outside of, in words.
    above_critical
        Whether the input lies above a table that ends at the critical point.
    """

    what: Literal["pressure", "temperature"]
    designation: str
    asked: AbsolutePressure | Temperature
    low: AbsolutePressure | Temperature
    high: AbsolutePressure | Temperature
    of: str = "saturation table"
    above_critical: bool = False
    kind: Literal["outside-table"] = "outside-table"

    @property
    def reason(self) -> str:
        """What is outside, the range, and what to do, in one sentence."""
        if self.above_critical:
            return (
                f"a {self.what} of {_shown(self.asked)} is near or above the critical "
                f"point of {self.designation}, where liquid and vapor are no longer two "
                f"(its table ends at {_shown(self.high)}); check the reading and the "
                "refrigerant"
            )
        return (
            f"a {self.what} of {_shown(self.asked)} is outside the {self.designation} "
            f"{self.of} ({_shown(self.low)} to {_shown(self.high)}"
            f"{self._end()}); check the reading and the refrigerant"
        )

    def _end(self) -> str:
        if not _above(self.asked, self.high):
            return ""
        return "; nothing is given above, toward the critical point"


def _above(asked: object, high: object) -> bool:
    """Whether one quantity lies above another of its kind."""
    match asked, high:
        case Temperature(), Temperature():
            return asked > high
        case AbsolutePressure(), AbsolutePressure():
            return asked > high
        case _:
            return False


def _shown(value: AbsolutePressure | Temperature) -> str:
    match value:
        case AbsolutePressure():
            return f"{value.psi:.1f} psi absolute"
        case Temperature():
            return f"{value.f:.0f} F"


class Properties(Protocol):
    """Saturation of every supported refrigerant: the port that fakes stand in for."""

    def saturation_temperature(
        self, refrigerant: Substance, curve: Curve, pressure: AbsolutePressure
    ) -> Temperature | OutsideTable:
        """Give the bubble or dew point at a pressure."""

    def saturation_pressure(
        self, refrigerant: Substance, curve: Curve, temperature: Temperature
    ) -> AbsolutePressure | OutsideTable:
        """Give the bubble or dew pressure at a temperature."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingErrors:
    """How far an instrument may be off, each way.

    The values in force come from ``limits.toml``; see ``Limits.reading_errors``.

    Attributes
    ----------
    suction, liquid
        Of the low-side and the high-side gauge.
    line
        Of a pipe clamp.
    """

    suction: PressureDifference
    liquid: PressureDifference
    line: TemperatureDifference


@dataclass(frozen=True, slots=True, kw_only=True)
class Superheat:
    """How far the suction gas is above its dew point.

    Attributes
    ----------
    value
        The superheat; negative where liquid comes back.
    saturation
        Dew point at the suction pressure.
    uncertainty
        Half-width of its error band: gauge, clamp and table as independent errors.
    """

    value: TemperatureDifference
    saturation: Temperature
    uncertainty: TemperatureDifference


@dataclass(frozen=True, slots=True, kw_only=True)
class Subcooling:
    """How far the liquid is below its bubble point.

    Attributes
    ----------
    value
        The subcooling; negative where the line holds vapor.
    saturation
        Bubble point at the liquid pressure.
    uncertainty
        Half-width of its error band: gauge, clamp and table as independent errors.
    """

    value: TemperatureDifference
    saturation: Temperature
    uncertainty: TemperatureDifference


def working_temperature(
    properties: Properties,
    refrigerant: Substance,
    curve: Curve,
    pressure: AbsolutePressure,
) -> Temperature | OutsideTable:
    """Give the bubble or dew point in a circuit, between ``COLDEST`` and ``HOTTEST``.

    Returns
    -------
    Temperature or OutsideTable
        The latter also where the table reaches further than a circuit should.
    """
    found = properties.saturation_temperature(refrigerant, curve, pressure)
    if isinstance(found, OutsideTable) or COLDEST <= found <= HOTTEST:
        return found
    return OutsideTable(
        what="pressure",
        designation=refrigerant.designation,
        asked=pressure,
        low=_pressure_near(properties, refrigerant, curve, COLDEST),
        high=_pressure_near(properties, refrigerant, curve, HOTTEST),
        of="working range",
    )


def _pressure_near(
    properties: Properties, refrigerant: Substance, curve: Curve, wanted: Temperature
) -> AbsolutePressure | Temperature:
    """Give the pressure at a temperature, or the end of a shorter table."""
    found = properties.saturation_pressure(refrigerant, curve, wanted)
    if not isinstance(found, OutsideTable):
        return found
    return found.low if wanted <= COLDEST else found.high


def superheat(
    properties: Properties,
    refrigerant: Substance,
    suction: GaugePressure,
    line: Temperature,
    ambient: AbsolutePressure,
    errors: ReadingErrors,
) -> Superheat | OutsideTable:
    """Work out the superheat at the suction port.

    Parameters
    ----------
    properties
        Where saturation is looked up.
    refrigerant
        What is in the circuit.
    suction
        Low-side gauge reading.
    line
        Temperature of the suction line at the gauge.
    ambient
        Air pressure at the site; a gauge reads above it.
    errors
        What the instruments may be off.

    Returns
    -------
    Superheat or OutsideTable
        The latter if the pressure is not tabulated.
    """
    found = _with_error(
        properties, refrigerant, "dew", suction, ambient, errors.suction
    )
    if isinstance(found, OutsideTable):
        return found
    saturation, pressure_part_k = found
    return Superheat(
        value=line - saturation,
        saturation=saturation,
        uncertainty=_combined(pressure_part_k, refrigerant, errors),
    )


def subcooling(
    properties: Properties,
    refrigerant: Substance,
    liquid: GaugePressure,
    line: Temperature,
    ambient: AbsolutePressure,
    errors: ReadingErrors,
) -> Subcooling | OutsideTable:
    """Work out the subcooling at the liquid port.

    Parameters are those of :func:`superheat`, on the liquid side.

    Returns
    -------
    Subcooling or OutsideTable
        The latter if the pressure is not tabulated.
    """
    found = _with_error(
        properties, refrigerant, "bubble", liquid, ambient, errors.liquid
    )
    if isinstance(found, OutsideTable):
        return found
    saturation, pressure_part_k = found
    return Subcooling(
        value=saturation - line,
        saturation=saturation,
        uncertainty=_combined(pressure_part_k, refrigerant, errors),
    )


def _with_error(
    properties: Properties,
    refrigerant: Substance,
    curve: Curve,
    gauge: GaugePressure,
    ambient: AbsolutePressure,
    error: PressureDifference,
) -> tuple[Temperature, float] | OutsideTable:
    """Give the saturation temperature and what the gauge error makes of it [K]."""

    def at(pa_gauge: float) -> Temperature | OutsideTable:
        # A reading below vacuum is looked up at vacuum, which no table covers.
        pressure = AbsolutePressure(max(0.0, pa_gauge + ambient.pa))
        return working_temperature(properties, refrigerant, curve, pressure)

    middle = at(gauge.pa)
    if isinstance(middle, OutsideTable):
        return middle
    sides = [
        abs((side - middle).k)
        for side in (at(gauge.pa - error.pa), at(gauge.pa + error.pa))
        if not isinstance(side, OutsideTable)
    ]
    return middle, max(sides, default=0.0)


def _combined(
    pressure_part_k: float, refrigerant: Substance, errors: ReadingErrors
) -> TemperatureDifference:
    table_k = refrigerant.saturation_error.k
    return TemperatureDifference(math.hypot(pressure_part_k, errors.line.k, table_k))

"""An amount as it is remembered: a quantity's kind and its one SI number.

Facts are written to the journal as plain records. A quantity type alone would not
say there whether 800 000 Pa was above the air or above vacuum; the kind does.
"""

import math
from dataclasses import dataclass
from typing import Literal

from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    Volume,
)

AmountKind = Literal[
    "gauge-pressure",
    "absolute-pressure",
    "temperature",
    "temperature-difference",
    "mass",
    "length",
    "volume",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """One quantity, ready for the journal.

    ``si`` is in Pa, K, kg, m or m3, as ``of`` says.
    """

    of: AmountKind
    si: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.si):
            raise ValueError(f"an amount must be a finite number, not {self.si}")

    @property
    def quantity(self) -> Quantity:
        """The quantity itself."""
        return quantity_of(self.of, self.si)


def quantity_of(kind: AmountKind, si: float) -> Quantity:
    """Make the quantity of a kind from its SI number."""
    match kind:
        case "gauge-pressure":
            return GaugePressure(si)
        case "absolute-pressure":
            return AbsolutePressure(si)
        case "temperature":
            return Temperature(si)
        case "temperature-difference":
            return TemperatureDifference(si)
        case "mass":
            return Mass(si)
        case "length":
            return Length(si)
        case "volume":
            return Volume(si)


def amount(quantity: Quantity) -> Amount:
    """Make an amount from a quantity."""
    match quantity:
        case GaugePressure():
            return Amount(of="gauge-pressure", si=quantity.pa)
        case AbsolutePressure():
            return Amount(of="absolute-pressure", si=quantity.pa)
        case Temperature():
            return Amount(of="temperature", si=quantity.k)
        case TemperatureDifference():
            return Amount(of="temperature-difference", si=quantity.k)
        case Mass():
            return Amount(of="mass", si=quantity.kg)
        case Length():
            return Amount(of="length", si=quantity.m)
        case Volume():
            return Amount(of="volume", si=quantity.m3)

"""Names of the readings and plate values, and what they are judged against."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.properties import Properties
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
    standard_atmosphere,
)

Item = Literal[
    "suction-pressure",
    "liquid-pressure",
    "suction-line-temperature",
    "liquid-line-temperature",
    "outdoor-temperature",
    "return-dry-bulb",
    "return-wet-bulb",
    "cylinder-weight",
    "factory-charge",
    "charge-adder",
    "target-subcooling",
    "line-length",
]

ITEM_TYPES: dict[Item, type[Quantity]] = {
    "suction-pressure": GaugePressure,
    "liquid-pressure": GaugePressure,
    "suction-line-temperature": Temperature,
    "liquid-line-temperature": Temperature,
    "outdoor-temperature": Temperature,
    "return-dry-bulb": Temperature,
    "return-wet-bulb": Temperature,
    "cylinder-weight": Mass,
    "factory-charge": Mass,
    "charge-adder": Mass,
    "target-subcooling": TemperatureDifference,
    "line-length": Length,
}
"""The type of quantity due for each item."""

SEA_LEVEL = standard_atmosphere(Length(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingContext:
    """What a reading is judged against.

    Attributes
    ----------
    properties
        Saturation.
    refrigerant
        What is in the circuit; None while it is not known.
    ambient
        Air pressure at the site.
    running
        Whether the compressor runs; None while it is not known.
    last
        The last accepted value of each item. Whether it still tells something is for
        the caller to say: leave out what is too old or was taken in another state.
    others
        Values of the other items that belong to the same moment.
    """

    properties: Properties
    refrigerant: Refrigerant | None = None
    ambient: AbsolutePressure = SEA_LEVEL
    running: bool | None = None
    last: Mapping[Item, Quantity] = field(default_factory=dict)
    others: Mapping[Item, Quantity] = field(default_factory=dict)

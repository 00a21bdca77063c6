"""What readings can say about a unit: a closed list of findings."""

from dataclasses import dataclass
from typing import Literal

from companion.knowledge.limits import AirFlow
from companion.knowledge.methods import Metering
from companion.knowledge.properties import Subcooling, Superheat
from companion.knowledge.quantities import (
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.targets import SubcoolingTarget, SuperheatTarget

FindingId = Literal[
    "undercharged",
    "at-target",
    "overcharged",
    "restriction-suspected",
    "low-airflow-suspected",
    "flooding-suspected",
    "condenser-suspected",
    "compressor-suspected",
    "non-condensables-suspected",
    "wrong-refrigerant-suspected",
    "not-valid",
    "undecided",
]
Amps = Literal["low", "normal", "high"]
Level = Literal["low", "right", "high", "unknown"]
Measurement = Literal[
    "settle-and-read",
    "outdoor-temperature",
    "return-dry-bulb",
    "return-wet-bulb",
    "plate-subcooling",
    "amps",
    "air-flow",
    "coil-and-filter",
    "condenser",
    "standing-pressure",
    "drier-drop",
    "valve-bulb",
    "compressor",
]
"""What to measure or look at next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Steady readings of a unit that runs in cooling, with its targets.

    Attributes
    ----------
    metering
        Metering device at the indoor coil.
    superheat, subcooling
        Worked out from the gauges and clamps.
    superheat_target
        The table's answer, for a fixed orifice.
    subcooling_target
        The plate's value, for a valve; for a fixed orifice it sharpens the finding.
    outdoor
        Air entering the outdoor coil.
    split
        Return less supply air, dry bulb.
    split_target
        What the split should be, if the maker prints it.
    amps
        Compressor current against its rating.
    glide
        Glide of the refrigerant at these pressures; where it is not known, readings
        that no unit can have are not told from odd ones.
    standing_off
        Pressure of the unit at rest less that of saturation at the same temperature.
    airflow
        Measured air over the indoor coil.
    coil_iced
        Whether there is ice on the indoor coil.
    return_dry_bulb, return_wet_bulb
        Air entering the indoor coil.
    discharge
        Temperature of the discharge line.
    """

    metering: Metering
    superheat: Superheat
    subcooling: Subcooling
    outdoor: Temperature
    superheat_target: SuperheatTarget | None = None
    subcooling_target: SubcoolingTarget | None = None
    split: TemperatureDifference | None = None
    split_target: TemperatureDifference | None = None
    amps: Amps | None = None
    glide: TemperatureDifference | None = None
    standing_off: PressureDifference | None = None
    airflow: AirFlow | None = None
    coil_iced: bool | None = None
    return_dry_bulb: Temperature | None = None
    return_wet_bulb: Temperature | None = None
    discharge: Temperature | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What the readings say.

    Attributes
    ----------
    id
        Name of the finding.
    reason
        Why, in one sentence.
    evidence, against
        The single signs that speak for it and against it, in words.
    next_measurement, next_step
        What to measure or look at next, as an id and as one sentence; absent and empty
        where nothing is left to find out.
    """

    id: FindingId
    reason: str
    evidence: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    next_measurement: Measurement | None = None
    next_step: str = ""
    kind: Literal["finding"] = "finding"

    @property
    def may_add(self) -> bool:
        """Whether refrigerant may be added: only where a shortage is certain."""
        return self.id == "undercharged"

    @property
    def stops(self) -> bool:
        """Whether something other than the charge must be looked at first."""
        return self.id not in ("undercharged", "at-target", "overcharged", "undecided")

"""What readings can say about a unit: a closed list of findings."""

from dataclasses import dataclass, field
from typing import Literal

from companion.knowledge.methods import Metering
from companion.knowledge.properties import Subcooling, Superheat
from companion.knowledge.quantities import Temperature, TemperatureDifference
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
    "not-valid",
    "undecided",
]
Amps = Literal["low", "normal", "high"]
Level = Literal["low", "right", "high", "unknown"]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What the readings say.

    Attributes
    ----------
    id
        Name of the finding.
    reason
        Why, in one sentence.
    evidence
        The single signs, in words.
    """

    id: FindingId
    reason: str
    evidence: tuple[str, ...] = field(default_factory=tuple)
    kind: Literal["finding"] = "finding"

    @property
    def may_add(self) -> bool:
        """Whether refrigerant may be added: only where a shortage is certain."""
        return self.id == "undercharged"

    @property
    def stops(self) -> bool:
        """Whether something other than the charge must be looked at first."""
        return self.id not in ("undercharged", "at-target", "overcharged", "undecided")

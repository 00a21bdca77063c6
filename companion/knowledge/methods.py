"""The charging methods and the refusals to charge: a closed list of records.

What decides between them is in ``charging``.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from companion.knowledge.catalogue import Found
from companion.knowledge.drawing import CylinderStand, Draw
from companion.knowledge.quantities import Temperature
from companion.knowledge.tables import Citation
from companion.knowledge.targets import SuperheatTarget

Unit = Literal["running", "off"]
Holds = Literal["empty", "evacuated", "partly"]
Metering = Literal["fixed-orifice", "thermostatic", "electronic"]
Season = Literal["cooling", "heating"]
Leak = Literal["none-found", "repaired", "unrepaired"]
Loss = Literal["small", "large"]

MethodId = Literal["weigh-in", "liquid-pulses", "liquid-restrictor", "vapor"]
Port = Literal["suction", "liquid-line"]
ValveOpening = Literal["throttled", "full"]
StopBy = Literal["superheat", "subcooling", "weight"]
ReasonId = Literal[
    "vacuum-takes-liquid", "zeotrope-liquid", "restrictor-liquid", "vapor-no-slug"
]
RefusalKind = Literal[
    "refrigerant",
    "identity",
    "precautions",
    "fix-first",
    "leak",
    "recover-first",
    "evacuate-first",
    "stop-first",
    "run-first",
    "too-cold",
    "no-target",
    "not-known",
]
Preparation = Literal["stop", "recover", "repair", "pressure-test", "evacuate"]
"""A step that must be done before a method may begin, in this order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodInputs:
    """What the choice of a method depends on. None means not asked yet.

    What was not asked leads to a refusal that asks. What was asked and cannot be told
    stands in ``dont_know``, and leads to the safe branch: it never widens the choice.

    Attributes
    ----------
    refrigerant
        The catalogue's answer for the refrigerant of unit and cylinder.
    cylinder
        The catalogue's answer for the cylinder's label, where it is known apart.
    identity_proven
        Whether plate, label and standing pressure agree on it.
    precautions
        Whether the precautions for a flammable refrigerant are taken; looked at for
        such a refrigerant only.
    precheck_fault
        Whether a pre-check, air flow or electrical fault is open.
    leak
        What the leak check came to.
    non_condensables_suspected
        Whether air or another gas may be inside, or the circuit has been open.
    holds
        What the circuit holds: nothing (0 psig), a vacuum, or part of its charge.
    unit
        Whether the compressor runs.
    loss
        How much was lost; asked only for a high-glide blend after a leak.
    critical_charge
        Whether the unit needs its charge weighed: package unit, mini-split,
        microchannel coil, or variable speed without a charging mode.
    season
        Whether the unit can run in cooling now.
    outdoor
        Air entering the outdoor coil.
    metering
        Metering device at the indoor coil.
    superheat_target
        The table's answer for today's weather, if it was looked up already.
    dip_tube
        Whether the cylinder has a dip tube.
    restrictor
        Whether a liquid-to-vapor restrictor is on the hose; not known counts as not.
    dont_know
        Names of inputs that were asked for and cannot be told; each is None above.
    """

    refrigerant: Found | None = None
    cylinder: Found | None = None
    identity_proven: bool | None = None
    precautions: bool | None = None
    precheck_fault: bool | None = None
    leak: Leak | None = None
    non_condensables_suspected: bool | None = None
    holds: Holds | None = None
    unit: Unit | None = None
    loss: Loss | None = None
    critical_charge: bool | None = None
    season: Season | None = None
    outdoor: Temperature | None = None
    metering: Metering | None = None
    superheat_target: SuperheatTarget | None = None
    dip_tube: bool | None = None
    restrictor: bool | None = None
    dont_know: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """How to charge.

    Attributes
    ----------
    id
        Name of the method.
    draw, cylinder
        What leaves the cylinder, and how it stands for that.
    port
        Where it goes in.
    opening
        How far the charging valve is opened.
    stop_by
        What says that it is enough.
    reason_id, values, reason
        Why: as an id with values, and as one sentence.
    citation
        Who says so.
    """

    id: MethodId
    draw: Draw
    cylinder: CylinderStand
    port: Port
    opening: ValveOpening
    stop_by: StopBy
    reason_id: ReasonId
    values: Mapping[str, str]
    reason: str
    citation: Citation
    kind: Literal["method"] = "method"

    @property
    def source(self) -> str:
        """Who says so, as text."""
        return str(self.citation)


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodRefused:
    """Why not to charge now, and what to do.

    Attributes
    ----------
    refusal
        Name of the refusal.
    missing
        For ``not-known``: the name of the input that must be found out.
    values, reason
        Why: values for ``refusal``, and one sentence.
    what_to_do
        One sentence.
    first, then
        Where the way on is clear: the steps to do first and the method after them.
    citation
        Who says so.
    """

    refusal: RefusalKind
    reason: str
    what_to_do: str
    citation: Citation
    missing: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    first: tuple[Preparation, ...] = ()
    then: Method | None = None
    kind: Literal["method-refused"] = "method-refused"

    @property
    def source(self) -> str:
        """Who says so, as text."""
        return str(self.citation)

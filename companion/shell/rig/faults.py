"""What can go wrong on a rig, and when.

Every fault sets in at ``at`` seconds after the start and stays. A unit that is full
or overcharged at the start is no fault here but a charge fraction.
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderEmpty:
    """The cylinder holds only ``left_kg`` from then on, as if swapped for a spent one."""

    at: float = 0.0
    left_kg: float = 0.0
    kind: Literal["cylinder-empty"] = "cylinder-empty"


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderValveShut:
    """The cylinder's own valve is shut (once; it can be opened again)."""

    at: float = 0.0
    kind: Literal["cylinder-valve-shut"] = "cylinder-valve-shut"


@dataclass(frozen=True, slots=True, kw_only=True)
class ValvePasses:
    """The charging valve passes this share of full opening when shut (0 to 1)."""

    at: float = 0.0
    share: float = 0.015
    kind: Literal["valve-passes"] = "valve-passes"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutdoorFanFailed:
    """The condenser keeps only ``left`` of its air (0 to 1)."""

    at: float = 0.0
    left: float = 0.15
    kind: Literal["outdoor-fan-failed"] = "outdoor-fan-failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class IndoorAirLost:
    """The indoor coil keeps only ``left`` of its air (0 to 1); frost is not modelled."""

    at: float = 0.0
    left: float = 0.35
    kind: Literal["indoor-air-lost"] = "indoor-air-lost"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiquidLineRestricted:
    """A blockage as wide as ``left`` of the nominal metering area (above 0)."""

    at: float = 0.0
    left: float = 0.7
    kind: Literal["liquid-line-restricted"] = "liquid-line-restricted"


@dataclass(frozen=True, slots=True, kw_only=True)
class NonCondensables:
    """Air in the condenser adds ``psi`` to the high side."""

    at: float = 0.0
    psi: float = 25.0
    kind: Literal["non-condensables"] = "non-condensables"


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderTurnedOver:
    """The cylinder stands the wrong way up from then on (until it is placed again)."""

    at: float = 0.0
    kind: Literal["cylinder-turned-over"] = "cylinder-turned-over"


Fault = (
    CylinderEmpty
    | CylinderValveShut
    | ValvePasses
    | OutdoorFanFailed
    | IndoorAirLost
    | LiquidLineRestricted
    | NonCondensables
    | CylinderTurnedOver
)

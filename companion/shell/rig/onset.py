"""Faults set in when their time comes."""

from typing import assert_never

from companion.shell.rig.air import Surroundings
from companion.shell.rig.cylinder import Cylinder
from companion.shell.rig.faults import (
    CylinderEmpty,
    CylinderTurnedOver,
    CylinderValveShut,
    Fault,
    IndoorAirLost,
    LiquidLineRestricted,
    NonCondensables,
    OutdoorFanFailed,
    ValvePasses,
)
from companion.shell.rig.units import PA_PER_PSI


class Onset:
    """The faults still to come, and the charging valve's leak."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self._waiting = sorted(faults, key=lambda fault: fault.at, reverse=True)
        self.passing = 0.0

    def apply(self, now_s: float, air: Surroundings, cylinder: Cylinder) -> None:
        """Let every fault due by ``now_s`` set in."""
        while self._waiting and self._waiting[-1].at <= now_s:
            self._set_in(self._waiting.pop(), air, cylinder)

    def _set_in(self, fault: Fault, air: Surroundings, cylinder: Cylinder) -> None:
        match fault:
            case CylinderEmpty():
                cylinder.net_kg = min(cylinder.net_kg, fault.left_kg)
            case CylinderValveShut():
                cylinder.valve_open = False
            case CylinderTurnedOver():
                cylinder.inverted = not cylinder.inverted
            case ValvePasses():
                self.passing = fault.share
            case _:
                _change_air(fault, air)


def _change_air(
    fault: OutdoorFanFailed | IndoorAirLost | LiquidLineRestricted | NonCondensables,
    air: Surroundings,
) -> None:
    match fault:
        case OutdoorFanFailed():
            air.outdoor_fan = fault.left
        case IndoorAirLost():
            air.indoor_air = fault.left
        case LiquidLineRestricted():
            air.bottleneck = fault.left
        case NonCondensables():
            air.foreign_pa = fault.psi * PA_PER_PSI
        case _:
            assert_never(fault)

from companion.shell.rig.air import Surroundings
from companion.shell.rig.cylinder import Cylinder
from companion.shell.rig.faults import (
    CylinderEmpty,
    CylinderTurnedOver,
    CylinderValveShut,
    IndoorAirLost,
    LiquidLineRestricted,
    NonCondensables,
    OutdoorFanFailed,
    ValvePasses,
)
from companion.shell.rig.onset import Onset
from companion.shell.rig.tables import table_of


def _site() -> tuple[Surroundings, Cylinder]:
    air = Surroundings(outdoor_k=308.0, db_k=300.0, wb_k=292.0)
    cylinder = Cylinder(
        table_of("R-22"), net_kg=8.0, tare_kg=4.0, dip_tube=False, t_k=308.0
    )
    return air, cylinder


def test_faults_wait_for_their_time_in_any_order() -> None:
    air, cylinder = _site()
    onset = Onset((ValvePasses(at=20.0, share=0.05), CylinderValveShut(at=10.0)))
    onset.apply(5.0, air, cylinder)
    assert cylinder.valve_open
    onset.apply(10.0, air, cylinder)
    assert not cylinder.valve_open
    assert onset.passing == 0.0
    onset.apply(25.0, air, cylinder)
    assert onset.passing == 0.05


def test_a_fault_sets_in_once() -> None:
    air, cylinder = _site()
    onset = Onset((CylinderValveShut(), CylinderTurnedOver()))
    onset.apply(0.0, air, cylinder)
    cylinder.valve_open = True
    onset.apply(1.0, air, cylinder)
    assert cylinder.valve_open
    assert not cylinder.inverted


def test_each_fault_changes_its_own_thing() -> None:
    air, cylinder = _site()
    faults = (
        OutdoorFanFailed(left=0.2),
        IndoorAirLost(left=0.4),
        LiquidLineRestricted(left=0.5),
        NonCondensables(psi=10.0),
        CylinderEmpty(left_kg=0.1),
    )
    Onset(faults).apply(0.0, air, cylinder)
    assert (air.outdoor_fan, air.indoor_air, air.bottleneck) == (0.2, 0.4, 0.5)
    assert round(air.foreign_pa) == 68948
    assert cylinder.net_kg == 0.1

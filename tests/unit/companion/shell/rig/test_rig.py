from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from companion.shell.rig.errors import RigError
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
from companion.shell.rig.rig import Rig
from companion.shell.rig.spec import RigSpec

Make = Callable[..., RigSpec]
both = pytest.mark.parametrize("metering", ["fixed-orifice", "thermostatic"])


def _all_kg(rig: Rig) -> float:
    truth = rig.truth()
    return truth.charge_kg + truth.hose_kg + truth.cylinder_net_kg


def _pulse(rig: Rig, opening: float, seconds: float = 15.0) -> None:
    rig.turn_valve(opening)
    rig.advance(seconds)
    rig.turn_valve(0.0)


def _superheat(rig: Rig) -> float:
    found = rig.truth().superheat_f
    assert found is not None
    return found


def _subcooling(rig: Rig) -> float:
    found = rig.truth().subcooling_f
    assert found is not None
    return found


@both
def test_ten_minutes_of_pulses_lose_no_mass(make: Make, metering: str) -> None:
    rig = Rig(make(metering=metering, charge_fraction=0.7))
    before = _all_kg(rig)
    for _ in range(5):
        _pulse(rig, 0.4)
        rig.advance(105.0)
    assert abs(_all_kg(rig) - before) < 0.05e-3
    assert rig.truth().fed_kg > 0.3


def test_weighing_in_starting_and_stopping_lose_no_mass(make: Make) -> None:
    rig = Rig(make(charge_fraction=0.0, running=False))
    before = _all_kg(rig)
    _pulse(rig, 0.6, 60.0)
    rig.start_unit()
    rig.advance(120.0)
    _pulse(rig, 0.2)
    rig.stop_unit()
    rig.advance(120.0)
    assert abs(_all_kg(rig) - before) < 0.05e-3


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(cuts=st.lists(st.floats(0.01, 7.0), min_size=1, max_size=12))
def test_the_same_acts_give_the_same_readings_however_time_is_cut(
    make: Make, cuts: list[float]
) -> None:
    whole, parts = Rig(make()), Rig(make())
    for rig in (whole, parts):
        rig.turn_valve(0.3)
    whole.advance(sum(cuts))
    for cut in cuts:
        parts.advance(cut)
    whole.advance(100.04 - whole.now)
    parts.advance(100.04 - parts.now)
    assert whole.gauges() == parts.gauges()
    assert whole.truth() == parts.truth()


def test_a_running_unit_starts_at_rest(make: Make) -> None:
    rig = Rig(make(charge_fraction=0.8))
    before = rig.truth()
    rig.advance(600.0)
    after = rig.truth()
    assert after.suction_psig_port == pytest.approx(before.suction_psig_port, abs=0.2)
    assert _superheat(rig) == pytest.approx(before.superheat_f, abs=0.2)
    assert before.slugging_index == 0


def test_readings_agree_with_the_truth_at_rest(make: Make) -> None:
    rig = Rig(make(charge_fraction=1.0))
    gauges, truth = rig.gauges(), rig.truth()
    assert gauges.suction_psig == pytest.approx(truth.suction_psig_port)
    assert gauges.liquid_psig == pytest.approx(truth.liquid_psig)
    assert gauges.scale_oz == pytest.approx(15.0 / 0.028349523125)
    assert (gauges.outdoor_f, gauges.return_db_f) == pytest.approx((95.0, 80.0))
    low, high = (rig._plant.design.table.at_p(p) for p in (1e6, 2.7e6))
    assert low.t_dew_k < high.t_dew_k
    plate = rig.nameplate
    assert plate.factory_charge_oz == pytest.approx(
        truth.full_charge_kg / 0.028349523125, abs=0.06
    )
    assert plate.target_subcooling_f is None


@both
def test_charge_moves_the_readings_the_right_way(make: Make, metering: str) -> None:
    rigs = [
        Rig(make(metering=metering, charge_fraction=f)) for f in (0.7, 0.85, 1.0, 1.1)
    ]
    superheats = [_superheat(rig) for rig in rigs]
    subcoolings = [_subcooling(rig) for rig in rigs]
    heads = [rig.truth().liquid_psig for rig in rigs]
    assert superheats == sorted(superheats, reverse=True)
    assert subcoolings == sorted(subcoolings)
    assert heads == sorted(heads)


def test_a_pulse_lifts_the_gauge_more_than_the_port_and_then_settles(
    make: Make,
) -> None:
    rig = Rig(make(charge_fraction=0.8))
    start = rig.gauges().suction_psig
    rig.turn_valve(0.28)
    rig.advance(15.0)
    gauge, port = rig.gauges().suction_psig, rig.truth().suction_psig_port
    assert start + 7 < port < gauge - 2
    assert gauge < start + 16
    rig.turn_valve(0.0)
    rig.advance(120.0)
    settled = rig.gauges().suction_psig
    assert start + 4 < settled < gauge
    (opening,) = rig.openings
    assert opening.end_s == 15.0
    assert opening.peak_rise_psi >= gauge - start
    assert 0.2 < opening.fed_kg < 0.32


def test_a_valve_system_hides_a_pulse_and_answers_in_subcooling(make: Make) -> None:
    rig = Rig(make(metering="thermostatic", charge_fraction=0.9))
    start, before = rig.gauges().suction_psig, _subcooling(rig)
    _pulse(rig, 0.28)
    rig.advance(285.0)
    assert abs(rig.gauges().suction_psig - start) < 1.5
    assert _subcooling(rig) > before + 3


def test_more_liquid_at_once_means_more_in_the_compressor(make: Make) -> None:
    found = []
    for opening in (0.1, 0.3, 0.6):
        rig = Rig(make(tons=2.0, charge_fraction=0.8))
        _pulse(rig, opening)
        rig.advance(60.0)
        found.append((rig.openings[0].wettest, rig.truth().slugging_index))
    assert found == sorted(found)
    assert found[0][1] == 0 < found[2][1]


def test_an_evacuated_unit_drinks_by_itself_to_the_weight(make: Make) -> None:
    rig = Rig(make(charge_fraction=0.0, running=False))
    assert rig.gauges().suction_psig == pytest.approx(-14.7, abs=0.01)
    full_kg = rig.truth().full_charge_kg
    start_oz = rig.gauges().scale_oz
    rig.turn_valve(0.8)
    while rig.truth().charge_kg + rig.truth().hose_kg < full_kg and rig.now < 600:
        rig.advance(1.0)
    rig.turn_valve(0.0)
    rig.advance(30.0)
    assert rig.truth().charge_fraction == pytest.approx(1.0, abs=0.03)
    weighed = start_oz - rig.gauges().scale_oz
    assert weighed == pytest.approx(rig.truth().charge_kg / 0.02835, rel=1e-3)
    rig.start_unit()
    rig.advance(900.0)
    assert rig.truth().running
    assert 3 < _superheat(rig) < 25


def test_weighing_in_slowly_ends_when_the_pressures_meet(make: Make) -> None:
    rig = Rig(make(charge_fraction=0.0, running=False))
    rig.turn_valve(0.03)
    rig.advance(1800.0)
    flow = rig.truth().flow_g_s
    assert rig.truth().charge_fraction < 0.9
    assert flow < 1.2
    cylinder_psig = rig._cylinder.look()[1] / 6894.757 - 14.696
    assert rig.gauges().liquid_psig == pytest.approx(cylinder_psig, abs=8)


def test_a_standing_charge_shows_saturation_and_starts(make: Make) -> None:
    spec = make(refrigerant="R-22", charge_fraction=0.85, running=False)
    rig, run_in = Rig(spec), Rig(make(refrigerant="R-22", charge_fraction=0.85))
    gauges = rig.gauges()
    assert gauges.suction_psig == gauges.liquid_psig
    assert gauges.suction_psig == pytest.approx(181.8, abs=0.5)  # R-22 at 95 F
    assert rig.truth().superheat_f is None
    rig.start_unit()
    rig.advance(1200.0)
    assert _superheat(rig) == pytest.approx(_superheat(run_in), abs=0.3)
    assert _subcooling(rig) == pytest.approx(_subcooling(run_in), abs=0.3)


def test_stopping_lets_the_pressures_meet(make: Make) -> None:
    rig = Rig(make())
    apart = rig.gauges()
    rig.stop_unit()
    rig.advance(600.0)
    met = rig.gauges()
    assert apart.suction_psig < met.suction_psig < apart.liquid_psig
    assert met.suction_psig == pytest.approx(met.liquid_psig, abs=1)


def test_starting_an_evacuated_unit_trips_on_low_pressure(make: Make) -> None:
    rig = Rig(make(charge_fraction=0.0, running=False))
    rig.start_unit()
    assert rig.truth().trip == "low-pressure"
    assert not rig.truth().running


def test_starting_a_nearly_empty_unit_trips_before_leaving_the_table(
    make: Make,
) -> None:
    rig = Rig(make(charge_fraction=0.01, running=False))
    rig.start_unit()
    rig.advance(120.0)
    assert rig.truth().trip == "low-pressure"


@pytest.mark.parametrize("opening", [-0.1, 1.1])
def test_a_valve_stays_between_shut_and_open(make: Make, opening: float) -> None:
    with pytest.raises(RigError, match="0 to 1"):
        Rig(make(running=False)).turn_valve(opening)


@pytest.mark.parametrize("seconds", [-1.0, float("nan"), float("inf")])
def test_time_only_goes_on(make: Make, seconds: float) -> None:
    with pytest.raises(RigError, match="cannot advance"):
        Rig(make(running=False)).advance(seconds)


@pytest.mark.parametrize(
    "fault", [CylinderEmpty(), CylinderValveShut(), CylinderEmpty(left_kg=0.05)]
)
def test_no_refrigerant_means_no_rise(make: Make, fault: Fault) -> None:
    rig = Rig(make(faults=(fault,)))
    _pulse(rig, 0.5)
    assert rig.openings[0].peak_rise_psi < 1.0
    assert rig.truth().fed_kg < 0.06


def test_a_shut_cylinder_can_be_opened(make: Make) -> None:
    rig = Rig(make(faults=(CylinderValveShut(),)))
    rig.set_cylinder_valve(open_=True)
    _pulse(rig, 0.3)
    assert rig.truth().fed_kg > 0.1


def test_a_turned_cylinder_gives_vapor_until_it_is_placed_again(make: Make) -> None:
    rig = Rig(make(faults=(CylinderTurnedOver(),)))
    _pulse(rig, 0.3)
    vapor_kg = rig.openings[0].fed_kg
    rig.place_cylinder(inverted=True)
    _pulse(rig, 0.3)
    assert rig.openings[1].fed_kg > 3 * vapor_kg > 0


def test_warm_water_keeps_vapor_flowing(make: Make) -> None:
    fed = []
    for warm in (False, True):
        rig = Rig(make(refrigerant="R-22", charge_fraction=0.6))
        rig.place_cylinder(inverted=False)
        rig.warm_cylinder(on=warm)
        _pulse(rig, 0.6, 600.0)
        fed.append(rig.truth().fed_kg)
        assert rig.truth().cylinder_f < 90
    assert fed[1] > 1.2 * fed[0]


def test_a_passing_valve_feeds_when_shut_until_the_cylinder_is_shut(
    make: Make,
) -> None:
    rig = Rig(make(faults=(ValvePasses(at=10.0, share=0.05),)))
    rig.advance(70.0)
    assert 0.12 < rig.truth().fed_kg < 0.25
    rig.set_cylinder_valve(open_=False)
    rig.advance(20.0)
    before = rig.truth().fed_kg
    rig.advance(60.0)
    assert rig.truth().fed_kg == pytest.approx(before, abs=1e-5)


@both
def test_a_failed_outdoor_fan_lifts_the_head_to_the_trip(
    make: Make, metering: str
) -> None:
    rig = Rig(make(metering=metering, faults=(OutdoorFanFailed(at=5.0),)))
    before = rig.gauges().liquid_psig
    rig.advance(30.0)
    assert rig.gauges().liquid_psig > before + 30
    rig.advance(400.0)
    assert rig.truth().trip == "high-pressure"
    assert not rig.truth().running


@both
def test_lost_indoor_air_pulls_the_suction_down(make: Make, metering: str) -> None:
    rig = Rig(make(metering=metering, faults=(IndoorAirLost(at=5.0),)))
    before = rig.gauges()
    rig.advance(600.0)
    after = rig.gauges()
    assert after.suction_psig < before.suction_psig - 10
    assert after.suction_line_f < before.suction_line_f - 10


@both
def test_a_blocked_liquid_line_starves_the_coil_and_backs_up(
    make: Make, metering: str
) -> None:
    fault = LiquidLineRestricted(at=5.0, left=0.7)
    rig = Rig(make(metering=metering, charge_fraction=1.0, faults=(fault,)))
    superheat, subcooling = _superheat(rig), _subcooling(rig)
    rig.advance(600.0)
    assert _superheat(rig) > superheat + 15
    assert _subcooling(rig) > subcooling + 2


def test_air_in_the_condenser_shows_above_saturation_even_at_rest(make: Make) -> None:
    fault = NonCondensables(psi=20.0)
    sound, foul = Rig(make()), Rig(make(faults=(fault,)))
    assert foul.gauges().liquid_psig > sound.gauges().liquid_psig + 15
    off, foul_off = (
        Rig(make(running=False, faults=faults)) for faults in ((), (fault,))
    )
    assert foul_off.gauges().liquid_psig == pytest.approx(
        off.gauges().liquid_psig + 20, abs=0.1
    )


def test_a_slowed_plant_answers_later_but_rests_at_the_same_place(make: Make) -> None:
    plain, slow = (
        Rig(make(metering="thermostatic", charge_fraction=0.92, slow=s))
        for s in (1.0, 3.0)
    )
    assert _subcooling(slow) == pytest.approx(_subcooling(plain), abs=0.1)
    for rig in (plain, slow):
        _pulse(rig, 0.2)
        rig.advance(30.0)
    early = _subcooling(plain) - _subcooling(slow)
    for rig in (plain, slow):
        rig.advance(1500.0)
    assert early > 0.3
    assert _subcooling(slow) == pytest.approx(_subcooling(plain), abs=0.3)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12))
def test_no_abuse_leaves_the_property_table(make: Make, seed: int) -> None:
    rig = Rig(
        make(
            refrigerant=("R-32", "R-407C", "R-134a")[seed % 3],
            metering=("thermostatic", "fixed-orifice")[seed % 2],
            tons=1.5 + seed % 4,
            charge_fraction=0.5 + 0.08 * seed,
            outdoor_f=65.0 + 4 * seed,
            seed=seed,
            faults=(
                IndoorAirLost(at=100.0, left=0.0),
                OutdoorFanFailed(at=400.0, left=0.0),
            ),
        )
    )
    for _ in range(10):
        _pulse(rig, 1.0, 40.0)
        rig.advance(20.0)
        if not rig.truth().running:
            rig.start_unit()
    assert rig.truth().charge_kg > 0
    assert rig.truth().cylinder_net_kg >= 0

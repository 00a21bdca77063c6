from dataclasses import replace
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.diagnosis import diagnose
from companion.knowledge.findings import Amps, Finding, Readings
from companion.knowledge.limits import AirFlow
from companion.knowledge.loading import Knowledge
from companion.knowledge.methods import Metering
from companion.knowledge.properties import Subcooling, Superheat
from companion.knowledge.quantities import (
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.tables import Citation
from companion.knowledge.targets import (
    SubcoolingTarget,
    Target,
    target_subcooling,
    target_superheat,
)

DF, F = TemperatureDifference.from_f, Temperature.from_f
PSI = PressureDifference.from_psi
CITED = Citation(source="own-choice", at="test", mark="own design")
COOL_DAY = Subcooling(value=DF(1), saturation=F(85), uncertainty=DF(2))


def _readings(
    metering: Metering,
    superheat_f: float,
    subcooling_f: float,
    *,
    error_f: float = 2.0,
    dew_f: float = 40.0,
    condensing_f: float = 110.0,
    **changes: Any,
) -> Readings:
    """Target superheat 12 F, target subcooling 10 F, 95 F outdoors."""
    orifice = metering == "fixed-orifice"
    heat = Target(of="superheat", value=DF(12), citation=CITED)
    cool = Target(of="subcooling", value=DF(10), citation=CITED)
    made = Readings(
        metering=metering,
        superheat=Superheat(
            value=DF(superheat_f), saturation=F(dew_f), uncertainty=DF(error_f)
        ),
        subcooling=Subcooling(
            value=DF(subcooling_f), saturation=F(condensing_f), uncertainty=DF(error_f)
        ),
        outdoor=F(95),
        superheat_target=heat if orifice else None,
        subcooling_target=None if orifice else cool,
    )
    return replace(made, **changes)


@pytest.mark.parametrize(
    ("superheat", "subcooling", "expected"),
    [
        (12, 8, "at-target"),
        (17, 8, "at-target"),
        (7, 8, "at-target"),
        (18, 8, "undercharged"),
        (30, 1, "undercharged"),
        (30, 22, "restriction-suspected"),
        (5, 10, "overcharged"),
        (5, 22, "overcharged"),
        (5, 1, "compressor-suspected"),
    ],
)
def test_fixed_orifice(
    knowledge: Knowledge, superheat: float, subcooling: float, expected: str
) -> None:
    readings = _readings("fixed-orifice", superheat, subcooling)
    assert diagnose(readings, knowledge.limits).id == expected


@pytest.mark.parametrize(
    ("superheat", "subcooling", "expected"),
    [
        (10, 10, "at-target"),
        (10, 13, "at-target"),
        (10, 7, "at-target"),
        (10, 6, "undercharged"),
        (30, 1, "undercharged"),
        (10, 14, "overcharged"),
        (2, 16, "overcharged"),
        (30, 10, "restriction-suspected"),
        (30, 18, "restriction-suspected"),
        (2, 10, "flooding-suspected"),
        (2, 4, "compressor-suspected"),
    ],
)
@pytest.mark.parametrize("metering", ["thermostatic", "electronic"])
def test_expansion_valve(
    knowledge: Knowledge,
    metering: Metering,
    superheat: float,
    subcooling: float,
    expected: str,
) -> None:
    readings = _readings(metering, superheat, subcooling)
    assert diagnose(readings, knowledge.limits).id == expected


def test_a_doubt_larger_than_the_tolerance_is_undecided(knowledge: Knowledge) -> None:
    for metering, superheat, subcooling in (
        ("fixed-orifice", 19.0, 8.0),
        ("thermostatic", 10.0, 4.0),
    ):
        readings = _readings(
            metering,  # type: ignore[arg-type]
            superheat,
            subcooling,
            error_f=8.0,
        )
        found = diagnose(readings, knowledge.limits)
        assert found.id == "undecided"
        assert not found.may_add
        assert not found.stops


def test_a_plate_sharpens_the_finding_on_a_fixed_orifice(knowledge: Knowledge) -> None:
    readings = _readings("fixed-orifice", 30, 16)
    assert diagnose(readings, knowledge.limits).id == "undercharged"
    plate = Target(of="subcooling", value=DF(10), citation=CITED)
    with_plate = replace(readings, subcooling_target=plate)
    assert diagnose(with_plate, knowledge.limits).id == "restriction-suspected"


@pytest.mark.parametrize(
    "changes",
    [
        {"outdoor": F(54)},
        {"superheat_target": None},
    ],
)
def test_not_valid(knowledge: Knowledge, changes: dict[str, Any]) -> None:
    found = diagnose(_readings("fixed-orifice", 30, 1, **changes), knowledge.limits)
    assert found.id == "not-valid"
    assert not found.may_add


def test_a_dash_or_a_missing_plate_is_not_valid(knowledge: Knowledge) -> None:
    dash = target_superheat(knowledge.targets, F(95), F(60))
    readings = _readings("fixed-orifice", 30, 1, superheat_target=dash)
    assert diagnose(readings, knowledge.limits).id == "not-valid"
    plate: SubcoolingTarget = target_subcooling(knowledge.targets, None)
    for wanted in (None, plate):
        readings = _readings("thermostatic", 30, 1, subcooling_target=wanted)
        assert diagnose(readings, knowledge.limits).id == "not-valid"


def test_a_hot_condenser_comes_before_the_charge(knowledge: Knowledge) -> None:
    readings = _readings("fixed-orifice", 30, 1, condensing_f=140)
    assert diagnose(readings, knowledge.limits).id == "condenser-suspected"


def test_little_air_looks_like_low_charge(knowledge: Knowledge) -> None:
    frosting = _readings("fixed-orifice", 4, 8, dew_f=28)
    assert diagnose(frosting, knowledge.limits).id == "low-airflow-suspected"
    # A cold coil with high superheat is what a real shortage looks like.
    short = _readings("fixed-orifice", 30, 1, dew_f=28)
    assert diagnose(short, knowledge.limits).id == "undercharged"


@pytest.mark.parametrize(
    ("split", "target", "expected"),
    [
        (26, None, "low-airflow-suspected"),
        (22, None, "undercharged"),
        (22, 18, "low-airflow-suspected"),
        (21, 18, "undercharged"),
    ],
)
def test_a_high_split_means_little_air(
    knowledge: Knowledge, split: float, target: float | None, expected: str
) -> None:
    readings = _readings(
        "fixed-orifice",
        30,
        1,
        split=DF(split),
        split_target=None if target is None else DF(target),
    )
    assert diagnose(readings, knowledge.limits).id == expected


def test_amps_that_contradict_a_shortage_leave_it_undecided(
    knowledge: Knowledge,
) -> None:
    for amps, expected in (("high", "undecided"), ("low", "undercharged")):
        readings = _readings("fixed-orifice", 30, 1, amps=amps)
        found = diagnose(readings, knowledge.limits)
        assert found.id == expected
        assert f"amps {amps}" in found.evidence


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"outdoor": F(55), "subcooling": COOL_DAY}, "undercharged"),
        ({"return_dry_bulb": F(69)}, "not-valid"),
        ({"return_dry_bulb": F(70)}, "undercharged"),
        ({"return_dry_bulb": F(80)}, "undercharged"),
        ({"return_dry_bulb": F(81)}, "not-valid"),
        ({"airflow": AirFlow(cfm_per_ton=299)}, "low-airflow-suspected"),
        ({"airflow": AirFlow(cfm_per_ton=300)}, "undercharged"),
        ({"coil_iced": True}, "low-airflow-suspected"),
        ({"coil_iced": False}, "undercharged"),
        ({"discharge": F(226)}, "compressor-suspected"),
        ({"discharge": F(225)}, "undercharged"),
        ({"standing_off": PSI(6)}, "non-condensables-suspected"),
        ({"standing_off": PSI(5)}, "undercharged"),
        ({"standing_off": PSI(-6)}, "wrong-refrigerant-suspected"),
    ],
)
def test_other_signs_outweigh_a_shortage(
    knowledge: Knowledge, changes: dict[str, Any], expected: str
) -> None:
    readings = _readings("fixed-orifice", 30, 1, **changes)
    found = diagnose(readings, knowledge.limits)
    assert found.id == expected
    assert (found.next_measurement is None) == (
        expected == "undercharged" or "standing_off" in changes
    )


@pytest.mark.parametrize(
    ("wet_bulb", "expected"), [(64, "low-airflow-suspected"), (62, "overcharged")]
)
def test_a_cold_coil_tells_little_air_from_too_much_charge(
    knowledge: Knowledge, wet_bulb: float, expected: str
) -> None:
    readings = _readings("fixed-orifice", 5, 10, return_wet_bulb=F(wet_bulb))
    found = diagnose(readings, knowledge.limits)
    assert (found.id, found.next_measurement) == (expected, "air-flow")
    short = _readings("fixed-orifice", 30, 1, return_wet_bulb=F(70))
    assert diagnose(short, knowledge.limits).id == "undercharged"


def test_readings_that_no_unit_can_have(knowledge: Knowledge) -> None:
    for metering in get_args(Metering):
        # Between bubble and dew point a two-phase line may seem below zero.
        for glide, expected in ((0, True), (10, False), (None, False)):
            readings = _readings(
                metering, -9, 10, glide=None if glide is None else DF(glide)
            )
            found = diagnose(readings, knowledge.limits)
            assert (found.id == "wrong-refrigerant-suspected") is expected
            assert not found.may_add


def test_signs_for_and_against(knowledge: Knowledge) -> None:
    found = diagnose(
        _readings("fixed-orifice", 30, 1, split=DF(26), amps="high"), knowledge.limits
    )
    assert found.id == "low-airflow-suspected"
    assert "air split 26 F high" in found.evidence
    assert {"superheat 30 F high", "amps high"} <= set(found.against)
    short = diagnose(_readings("fixed-orifice", 30, 1, amps="low"), knowledge.limits)
    assert set(short.evidence) == {
        "superheat 30 F high",
        "subcooling 1 F low",
        "amps low",
    }
    assert short.against == ()


def test_a_plate_that_agrees_leaves_high_superheat_undecided(
    knowledge: Knowledge,
) -> None:
    plate = Target(of="subcooling", value=DF(10), citation=CITED)
    readings = _readings("fixed-orifice", 30, 10, subcooling_target=plate)
    found = diagnose(readings, knowledge.limits)
    assert (found.id, found.next_measurement) == ("undecided", "drier-drop")


@given(
    metering=st.sampled_from(get_args(Metering)),
    superheat=st.floats(-10, 60),
    subcooling=st.floats(-10, 40),
    error=st.floats(0.1, 8),
    dew=st.floats(-20, 60),
    condensing=st.floats(60, 150),
    amps=st.sampled_from([None, *get_args(Amps)]),
    split=st.none() | st.floats(5, 35).map(DF),
)
def test_adding_is_allowed_only_on_a_certain_shortage(
    knowledge: Knowledge,
    metering: Metering,
    superheat: float,
    subcooling: float,
    error: float,
    dew: float,
    condensing: float,
    amps: Amps | None,
    split: TemperatureDifference | None,
) -> None:
    readings = _readings(
        metering,
        superheat,
        subcooling,
        error_f=error,
        dew_f=dew,
        condensing_f=condensing,
        amps=amps,
        split=split,
    )
    found: Finding = diagnose(readings, knowledge.limits)
    assert found.reason
    assert found.may_add == (found.id == "undercharged")
    assert not (found.may_add and found.stops)
    if found.may_add:
        short = superheat - 12 if metering == "fixed-orifice" else 10 - subcooling
        assert short > max(error, 3)
        assert amps != "high"

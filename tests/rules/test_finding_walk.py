"""A full grid of readings: every one has a finding, and none adds where it must not."""

from collections import Counter
from collections.abc import Iterator
from itertools import product
from typing import Any, get_args

import pytest

from companion.knowledge.diagnosis import diagnose
from companion.knowledge.findings import FindingId, Measurement, Readings
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
from companion.knowledge.targets import Target, target_superheat
from companion.shell.knowledge_files import read_knowledge

DF, F, PSI = (
    TemperatureDifference.from_f,
    Temperature.from_f,
    PressureDifference.from_psi,
)
CITED = Citation(source="own-choice", at="grid", mark="own design")
HEAT = Target(of="superheat", value=DF(12), citation=CITED)
COOL = Target(of="subcooling", value=DF(10), citation=CITED)

# Values on either side of every edge of the rules, and far out.
SUPERHEATS = (-25, -3, 3.9, 4, 7, 12, 17.1, 19, 25.1, 45)
SUBCOOLINGS = (-25, 2.9, 6.9, 7, 10, 13.1, 20.1, 35)
ERRORS = (1.0, 6.0)
DEWS = (31.9, 40)
CONDENSINGS = (100, 135.1)
SPLITS = (None, (25, None), (18, 18), (21.1, 18))
AMPS = (None, "normal", "high")
SITES: tuple[dict[str, Any], ...] = (
    {},
    {"glide": DF(10)},
    {"outdoor": F(54.9)},
    {"airflow": AirFlow(cfm_per_ton=299)},
    {"coil_iced": True},
    {"return_dry_bulb": F(69.9)},
    {"discharge": F(226)},
    {"standing_off": PSI(5.1)},
    {"standing_off": PSI(-5.1)},
    {"standing_off": PSI(5.0)},
    {"no target": True},
)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _grid(metering: Metering, knowledge: Knowledge) -> Iterator[Readings]:
    dash = target_superheat(knowledge.targets, F(95), F(60))
    orifice = metering == "fixed-orifice"
    targets: tuple[dict[str, Any], ...] = (
        (
            {"superheat_target": HEAT},
            {"superheat_target": HEAT, "subcooling_target": COOL},
        )
        if orifice
        else ({"subcooling_target": COOL},)
    )
    for heat, cool, error, dew, condensing, split, amps, site, target in product(
        SUPERHEATS,
        SUBCOOLINGS,
        ERRORS,
        DEWS,
        CONDENSINGS,
        SPLITS,
        AMPS,
        SITES,
        targets,
    ):
        given: dict[str, Any] = {"outdoor": F(95), **target, **site}
        if given.pop("no target", False):
            given["superheat_target"], given["subcooling_target"] = dash, None
        yield Readings(
            metering=metering,
            superheat=Superheat(
                value=DF(heat), saturation=F(dew), uncertainty=DF(error)
            ),
            subcooling=Subcooling(
                value=DF(cool), saturation=F(condensing), uncertainty=DF(error)
            ),
            split=None if split is None else DF(split[0]),
            split_target=None if split is None or split[1] is None else DF(split[1]),
            amps=amps,  # type: ignore[arg-type]
            **given,
        )


def must_not_add(readings: Readings) -> bool:
    """Say, from the readings alone, whether the trade forbids adding."""
    heat, cool = readings.superheat, readings.subcooling
    outdoor_f = readings.outdoor.f
    return bool(
        outdoor_f < 55 - 1e-6
        or readings.coil_iced
        or (readings.airflow and readings.airflow.cfm_per_ton < 300)
        or (readings.discharge and readings.discharge.f > 225)
        or (readings.standing_off and abs(readings.standing_off.psi) > 5.01)
        or cool.saturation.f - outdoor_f > 40
        or readings.amps == "high"
        or (readings.split and readings.split_target is None and readings.split.f >= 25)
        or (
            readings.split
            and readings.split_target
            and readings.split.f - readings.split_target.f > 3.01
        )
        or (readings.return_dry_bulb and readings.return_dry_bulb.f < 70 - 1e-6)
        # low superheat, or liquid that is not lacking
        or heat.value.f < (7 if readings.metering == "fixed-orifice" else 4) - 1e-6
        or (
            readings.metering != "fixed-orifice"
            and cool.value.f >= 10 - max(3, cool.uncertainty.f)
        )
        or (readings.metering == "fixed-orifice" and cool.value.f > 20)
        or (
            readings.metering == "fixed-orifice"
            and heat.value.f <= 12 + max(5, heat.uncertainty.f)
        )
    )


@pytest.mark.slow
@pytest.mark.parametrize("metering", get_args(Metering))
def test_every_reading_has_a_finding_and_none_adds_in_doubt(
    knowledge: Knowledge, metering: Metering
) -> None:
    kinds: Counter[str] = Counter()
    for readings in _grid(metering, knowledge):
        found = diagnose(readings, knowledge.limits)
        kinds[found.id] += 1
        assert found.reason
        assert found.may_add == (found.id == "undercharged")
        if found.may_add:
            assert not must_not_add(readings), readings
            assert not found.against, (found, readings)
        if found.id in ("undecided", "not-valid") or found.stops:
            asked = found.next_measurement is not None
            assert asked or readings.standing_off is not None
        assert (found.next_measurement is None) == (found.next_step == "")
    never = {"flooding-suspected"} if metering == "fixed-orifice" else set()
    assert kinds.keys() == set(get_args(FindingId)) - never
    assert min(kinds.values()) > 0


def test_every_measurement_is_asked_for_somewhere(knowledge: Knowledge) -> None:
    asked = {
        diagnose(readings, knowledge.limits).next_measurement
        for metering in ("fixed-orifice", "thermostatic")
        for readings in _some(metering, knowledge)  # type: ignore[arg-type]
    }
    assert asked - {None} == set(get_args(Measurement))


def _some(metering: Metering, knowledge: Knowledge) -> Iterator[Readings]:
    for number, readings in enumerate(_grid(metering, knowledge)):
        if number % 53 == 0:
            yield readings

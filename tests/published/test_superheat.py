"""Superheat, subcooling and gauge arithmetic against charts."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import OutsideTable, subcooling, superheat
from companion.knowledge.quantities import (
    PA_PER_INHG,
    GaugePressure,
    Length,
    Temperature,
    standard_atmosphere,
)
from companion.shell.knowledge_files import read_knowledge

DATA = tomllib.loads(
    Path(__file__).with_name("superheat.toml").read_text(encoding="utf-8")
)
SEA = standard_atmosphere(Length(0))


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _refrigerant(knowledge: Knowledge, designation: str) -> Refrigerant:
    found = knowledge.catalogue.get(designation)
    assert isinstance(found, Refrigerant)
    return found


def _dew(
    knowledge: Knowledge, designation: str, gauge: GaugePressure, altitude_ft: float = 0
) -> Temperature:
    air = standard_atmosphere(Length.from_ft(altitude_ft))
    found = knowledge.properties.saturation_temperature(
        _refrigerant(knowledge, designation), "dew", gauge.absolute(air)
    )
    assert not isinstance(found, OutsideTable)
    return found


CHART = [
    (group, GaugePressure.from_psi(psig), Temperature.from_f(line_f))
    for group in DATA["saturation"]
    for psig, line_f in group.get("psig_f", [])
] + [
    (group, GaugePressure.from_kpa(kpag), Temperature.from_c(line_c))
    for group in DATA["saturation"]
    for kpag, line_c in group.get("kpag_c", [])
]


@pytest.mark.parametrize(("group", "gauge", "line"), CHART)
def test_chart_rows(
    knowledge: Knowledge, group: dict[str, Any], gauge: GaugePressure, line: Temperature
) -> None:
    found = superheat(
        knowledge.properties,
        _refrigerant(knowledge, group["refrigerant"]),
        gauge,
        line,
        SEA,
        knowledge.limits.reading_errors,
    )
    assert not isinstance(found, OutsideTable)
    expected = group.get("superheat_f", 0.0)
    assert abs(found.value.f - expected) <= group["tolerance_f"], group["source"]


@pytest.mark.parametrize("case", DATA["reading"])
def test_dew_for_superheat_and_bubble_for_subcooling(
    knowledge: Knowledge, case: dict[str, Any]
) -> None:
    work_out = superheat if case["of"] == "superheat" else subcooling
    found = work_out(
        knowledge.properties,
        _refrigerant(knowledge, case["refrigerant"]),
        GaugePressure.from_psi(case["psig"]),
        Temperature.from_f(case["line_f"]),
        SEA,
        knowledge.limits.reading_errors,
    )
    assert not isinstance(found, OutsideTable)
    assert abs(found.value.f - case["expected_f"]) <= case["tolerance_f"]


@pytest.mark.parametrize("case", DATA["standing"])
def test_standing_pressures(knowledge: Knowledge, case: dict[str, Any]) -> None:
    refrigerant = _refrigerant(knowledge, case["refrigerant"])
    for f, psig in case["f_psig"]:
        found = knowledge.properties.saturation_pressure(
            refrigerant, "dew", Temperature.from_f(f)
        )
        assert not isinstance(found, OutsideTable)
        assert abs(found.gauge(SEA).psi - psig) <= case["tolerance_psi"]


@pytest.mark.parametrize("group", DATA["pulse"])
def test_a_rise_in_psi_means_other_degrees_on_each_refrigerant(
    knowledge: Knowledge, group: dict[str, Any]
) -> None:
    limits = knowledge.limits
    for case in group["rises"]:
        start = GaugePressure.from_psi(case["psig"])
        base = _dew(knowledge, case["refrigerant"], start)
        rises = (limits.pulse_rise_soft, limits.pulse_rise_hard)
        for rise, expected in zip(rises, case["rise_f"], strict=True):
            top = _dew(knowledge, case["refrigerant"], start + rise)
            assert abs((top - base).f - expected) <= group["tolerance_f"]


@pytest.mark.parametrize("group", DATA["altitude"])
def test_standard_atmosphere(group: dict[str, Any]) -> None:
    for ft, psia, inhg in group["ft_psia_inhg"]:
        found = standard_atmosphere(Length.from_ft(ft))
        assert abs(found.psi - psia) <= group["tolerance_psi"]
        assert abs(found.pa / PA_PER_INHG - inhg) <= group["tolerance_inhg"]


@pytest.mark.parametrize("group", DATA["altitude_effect"])
def test_a_sea_level_chart_is_wrong_in_the_mountains(
    knowledge: Knowledge, group: dict[str, Any]
) -> None:
    for row in group["rows"]:
        gauge = GaugePressure.from_psi(row["psig"])
        low = _dew(knowledge, row["refrigerant"], gauge)
        high = _dew(knowledge, row["refrigerant"], gauge, 5000)
        assert abs(low.f - row["sea_level_f"]) <= group["tolerance_f"]
        assert abs(high.f - row["at_5000_ft_f"]) <= group["tolerance_f"]

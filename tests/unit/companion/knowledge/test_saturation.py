import json
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import Curve, OutsideTable
from companion.knowledge.quantities import AbsolutePressure, Temperature
from companion.knowledge.saturation import (
    SaturationCurve,
    SaturationTables,
    read_saturation,
)

Find = Callable[[str], Refrigerant]
CURVES: tuple[Curve, ...] = ("bubble", "dew")


def _pressure(
    knowledge: Knowledge, found: Refrigerant, curve: Curve, c: float
) -> AbsolutePressure:
    pressure = knowledge.properties.saturation_pressure(
        found, curve, Temperature.from_c(c)
    )
    assert not isinstance(pressure, OutsideTable)
    return pressure


def test_every_refrigerant_has_a_table_from_minus_45_to_66(
    knowledge: Knowledge,
) -> None:
    tops = {}
    for each in knowledge.catalogue.refrigerants:
        for curve in CURVES:
            assert _pressure(knowledge, each, curve, -45).pa > 0
            found = knowledge.properties.saturation_pressure(
                each, curve, Temperature.from_c(66)
            )
            if isinstance(found, OutsideTable):
                assert found.above_critical
                assert "critical point" in found.reason
                tops[each.designation] = round(found.high.c, 3)  # type: ignore[union-attr]
    assert tops == {"R-508B": 11}  # critical at about 11 degC


@given(st.data())
def test_pressure_and_temperature_invert(
    knowledge: Knowledge, data: st.DataObject
) -> None:
    found = data.draw(st.sampled_from(knowledge.catalogue.refrigerants))
    curve = data.draw(st.sampled_from(CURVES))
    c = data.draw(st.floats(-60, 11))
    pressure = _pressure(knowledge, found, curve, c)
    back = knowledge.properties.saturation_temperature(found, curve, pressure)
    assert isinstance(back, Temperature)
    assert back.c == pytest.approx(c, abs=1e-7)


@given(st.data())
def test_pressure_rises_and_bubble_is_above_dew(
    knowledge: Knowledge, data: st.DataObject
) -> None:
    found = data.draw(st.sampled_from(knowledge.catalogue.refrigerants))
    cold, step = data.draw(st.floats(-60, 10)), data.draw(st.floats(0.01, 1))
    low = _pressure(knowledge, found, "dew", cold)
    assert low < _pressure(knowledge, found, "dew", cold + step)
    # Azeotropes and R-410A come within the solver's error of zero glide.
    assert _pressure(knowledge, found, "bubble", cold).pa >= low.pa * (1 - 1e-6)


@pytest.mark.parametrize("c", [-61.0, 70.0])
def test_the_ends_belong_to_the_table(
    knowledge: Knowledge, refrigerant: Find, c: float
) -> None:
    found = refrigerant("R-410A")
    pressure = _pressure(knowledge, found, "dew", c)
    through_psi = AbsolutePressure.from_psi(pressure.psi)
    back = knowledge.properties.saturation_temperature(found, "dew", through_psi)
    assert isinstance(back, Temperature)
    assert back.c == pytest.approx(c)


@pytest.mark.parametrize("c", [-60.1, 70.1])
def test_nothing_is_extrapolated(
    knowledge: Knowledge, refrigerant: Find, c: float
) -> None:
    at = Temperature.from_c(c)
    found = knowledge.properties.saturation_pressure(refrigerant("R-22"), "dew", at)
    assert isinstance(found, OutsideTable)
    assert found.what == "temperature"
    assert found.asked == at
    assert "R-22" in found.reason
    assert "-76 F to 158 F" in found.reason


@pytest.mark.parametrize("kpa", [0.0, 20.0, 9000.0])
def test_no_temperature_for_a_pressure_outside(
    knowledge: Knowledge, refrigerant: Find, kpa: float
) -> None:
    found = knowledge.properties.saturation_temperature(
        refrigerant("R-22"), "dew", AbsolutePressure.from_kpa(kpa)
    )
    assert isinstance(found, OutsideTable)
    assert found.what == "pressure"
    assert "psi absolute" in found.reason


def test_a_straight_line_stays_straight() -> None:
    """ln P linear in 1/T is the spline's own shape, so it must come back exactly."""
    t_k = [250.0, 260, 275, 290, 300]
    curve = SaturationCurve.through(t_k, [math.exp(20 - 2500 / t) for t in t_k])
    for t in (250.0, 255.5, 282, 300):
        assert curve.ln_p(t) == pytest.approx(20 - 2500 / t, abs=1e-12)
        assert curve.t_k(20 - 2500 / t) == pytest.approx(t, abs=1e-9)


def test_a_cubic_stays_the_same_cubic() -> None:
    """Not-a-knot ends make the spline through samples of one cubic that cubic."""

    def ln_p(t: float) -> float:
        s = 1000 / t
        return 18 - 2.2 * s - 0.05 * s**2 - 0.01 * s**3

    t_k = [240.0, 250, 265, 270, 300, 310]
    curve = SaturationCurve.through(t_k, [math.exp(ln_p(t)) for t in t_k])
    for t in (240.0, 243, 267, 285, 309.9):
        assert curve.ln_p(t) == pytest.approx(ln_p(t), abs=1e-10)


def _spoiled(texts: dict[str, str], name: str, **changes: object) -> str:
    content = json.loads(texts["saturation.json"])
    content["tables"][name].update(changes)
    return json.dumps(content)


def test_broken_tables_are_refused(knowledge: Knowledge, texts: dict[str, str]) -> None:
    content = json.loads(texts["saturation.json"])
    rising = content["tables"]["R-22"]["bubble_pa"]
    for wrong in (rising[:-1], rising[::-1]):
        text = _spoiled(texts, "R-22", bubble_pa=wrong)
        found = read_saturation(text, knowledge.catalogue)
        assert isinstance(found, tuple)
        assert found[0].key == "tables.R-22.bubble_pa"


def test_a_refrigerant_without_a_table_is_a_fault(
    knowledge: Knowledge, texts: dict[str, str]
) -> None:
    content = json.loads(texts["saturation.json"])
    del content["tables"]["R-22"]
    found = read_saturation(json.dumps(content), knowledge.catalogue)
    assert isinstance(found, tuple)
    assert found[0].key == "tables.R-22"
    assert "build the tables" in found[0].right


def test_the_file_says_what_made_it(knowledge: Knowledge) -> None:
    tables = knowledge.properties
    assert isinstance(tables, SaturationTables)
    assert tables.made_with == "CoolProp 8.0.0"

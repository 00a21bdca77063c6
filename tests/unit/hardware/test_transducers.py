from math import exp
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.ports import Fault, Reading
from hardware.transducers import (
    DIVIDER,
    REFERENCE_V,
    SUPPLY_V,
    PressureCalibration,
    ThermistorCalibration,
    pressure,
    temperature,
)

LOW = PressureCalibration(full_scale_psi=500)
CLAMP = ThermistorCalibration.from_beta(
    ohm_at_25_c=10_000, beta_k=3950, lowest_c=-20, highest_c=70
)


def at(share: float, rail_v: float = 5.0) -> tuple[float, float]:
    return share * rail_v * DIVIDER, rail_v * DIVIDER


@pytest.mark.parametrize(
    ("share", "psi"), [(0.1, 0), (0.5, 250), (0.9, 500), (0.08, -12.5), (0.92, 512.5)]
)
@pytest.mark.parametrize("rail_v", [4.75, 5.0, 5.25])
def test_the_supply_cancels(share: float, psi: float, rail_v: float) -> None:
    # Shares a hair inside the band, since rounding may fall on either side of it.
    near = share + (0.5 - share) * 1e-9
    read = pressure("suction", *at(near, rail_v), LOW)
    assert isinstance(read, Reading)
    assert (read.channel, read.unit) == ("suction", "psig")
    assert read.value == pytest.approx(psi, abs=1e-5)


def test_the_divider_keeps_the_highest_supply_below_the_reference() -> None:
    assert SUPPLY_V[1] * DIVIDER < REFERENCE_V


@pytest.mark.parametrize(
    ("share", "rail_v", "name"),
    [
        (0.0, 5.0, "open"),
        (0.049, 5.0, "open"),
        (0.051, 5.0, "out-of-range"),
        (0.079, 5.0, "out-of-range"),
        (0.921, 5.0, "out-of-range"),
        (0.949, 5.0, "out-of-range"),
        (0.951, 5.0, "shorted"),
        (1.0, 5.0, "shorted"),
        (0.5, 4.7, "no-supply"),
        (0.5, 5.3, "no-supply"),
        (0.0, 0.0, "no-supply"),
        (float("nan"), 5.0, "open"),
    ],
)
def test_a_bad_signal_is_a_fault(share: float, rail_v: float, name: str) -> None:
    read = pressure("suction", *at(share, rail_v), LOW)
    assert isinstance(read, Fault)
    assert read.name == name
    assert read.message.startswith("suction: ")


def test_the_offset_is_taken_off() -> None:
    read = pressure(
        "suction", *at(0.5), PressureCalibration(full_scale_psi=200, offset_psi=1.5)
    )
    assert isinstance(read, Reading)
    assert read.value == pytest.approx(98.5)


def volts(share: float) -> float:
    return share * REFERENCE_V


def test_half_the_reference_is_25_c() -> None:
    read = temperature("line", volts(0.5), CLAMP)
    assert isinstance(read, Reading)
    assert (read.channel, read.unit) == ("line", "C")
    assert read.value == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("share", "name"),
    [
        (1.0, "open"),
        (0.991, "open"),
        (0.0, "shorted"),
        (0.009, "shorted"),
        (0.95, "out-of-range"),
        (0.05, "out-of-range"),
        (float("nan"), "shorted"),
    ],
)
def test_a_bad_thermistor_is_a_fault(share: float, name: str) -> None:
    read = temperature("line", volts(share), CLAMP)
    assert isinstance(read, Fault)
    assert read.name == name
    assert read.message.startswith("line: ")


def test_a_curve_without_a_temperature_is_out_of_range() -> None:
    odd = ThermistorCalibration(a=-1, b=0, c=0, lowest_c=0, highest_c=50)
    read = temperature("line", volts(0.5), odd)
    assert isinstance(read, Fault)
    assert read.name == "out-of-range"


POINTS = ((0.0, 32_650.0), (25.0, 10_000.0), (60.0, 2_490.0))


def test_three_points_are_met_in_any_order() -> None:
    curve = ThermistorCalibration.from_points(POINTS[2], POINTS[0], POINTS[1])
    assert (curve.lowest_c, curve.highest_c) == (0.0, 60.0)
    for celsius, ohm in POINTS:
        assert curve.celsius(ohm) == pytest.approx(celsius, abs=1e-6)


@given(st.floats(-19, 69))
def test_beta_there_and_back(celsius: float) -> None:
    ohm = 10_000 * exp(3950 * (1 / (celsius + 273.15) - 1 / 298.15))
    read = temperature("line", volts(ohm / (ohm + 10_000)), CLAMP)
    assert isinstance(read, Reading)
    assert read.value == pytest.approx(celsius, abs=1e-6)


@given(st.floats(-1, 6), st.floats(-1, 6))
def test_whatever_the_volts_a_number_is_within_the_scale(
    signal_v: float, supply_v: float
) -> None:
    read = pressure("suction", signal_v, supply_v, LOW)
    if isinstance(read, Reading):
        assert -12.6 <= read.value <= 512.6
    line = temperature("line", signal_v, CLAMP)
    if isinstance(line, Reading):
        assert -20 <= line.value <= 70


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"full_scale_psi": 0}, "full scale of 0 psi"),
        ({"full_scale_psi": float("inf")}, "finite"),
        ({"full_scale_psi": 500, "offset_psi": float("nan")}, "finite"),
        ({"full_scale_psi": 500, "zero_share": 0.95}, "must rise"),
        ({"full_scale_psi": 500, "zero_share": 0.01}, "must rise"),
    ],
)
def test_a_wrong_pressure_calibration_is_refused(
    wrong: dict[str, Any], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        PressureCalibration(**wrong)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"a": float("nan")}, "finite"),
        ({"lowest_c": 50}, "is no range"),
        ({"fixed_ohm": 0}, "fixed resistor"),
    ],
)
def test_a_wrong_thermistor_calibration_is_refused(
    wrong: dict[str, Any], message: str
) -> None:
    good = {"a": 1e-3, "b": 2e-4, "c": 1e-7, "lowest_c": 0, "highest_c": 50}
    with pytest.raises(ValueError, match=message):
        ThermistorCalibration(**(good | wrong))


@pytest.mark.parametrize(
    ("points", "message"),
    [
        (POINTS[:2], "2 points were given; give three"),
        (((0, 100), (25, 200), (60, 300)), "must fall"),
        ((POINTS[0], POINTS[0], POINTS[2]), "must fall"),
    ],
)
def test_points_that_make_no_curve_are_refused(
    points: tuple[tuple[float, float], ...], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        ThermistorCalibration.from_points(*points)


def test_a_beta_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        ThermistorCalibration.from_beta(
            ohm_at_25_c=0, beta_k=3950, lowest_c=0, highest_c=50
        )

"""The error budget against the one worked out by hand for this chain of parts.

The expected values are those of a separate calculation with 5.1 k above 10 k in the
dividers and the same parts; each is met to the last digit it was printed with.
"""

from dataclasses import replace

import pytest

from hardware.transducers import PressureCalibration, ThermistorCalibration
from hardware.uncertainty import (
    pressure_step,
    pressure_uncertainty,
    thermistor_step,
    thermistor_uncertainty,
)

DIVIDER = 10 / 15.1
SHEET = ThermistorCalibration.from_beta(
    ohm_at_25_c=10_000, beta_k=3950, lowest_c=-30, highest_c=90
)


@pytest.mark.parametrize(
    ("full", "bits", "psi"),
    [
        (200, 10, 0.243),
        (200, 12, 0.061),
        (500, 10, 0.608),
        (500, 12, 0.152),
        (800, 10, 0.973),
        (800, 12, 0.243),
    ],
)
def test_a_count_in_psi(full: float, bits: int, psi: float) -> None:
    found = pressure_step(PressureCalibration(full_scale_psi=full), bits, DIVIDER)
    assert found == pytest.approx(psi, abs=0.0006)


@pytest.mark.parametrize(
    ("full", "band", "at", "bits", "psi"),
    [
        (200, 0.005, 118.4, 10, 1.16),
        (200, 0.01, 118.4, 10, 2.09),
        (200, 0.01, 118.4, 12, 2.01),
        (200, 0.02, 118.4, 10, 4.04),
        (500, 0.005, 118.4, 10, 2.81),
        (500, 0.01, 118.4, 10, 5.16),
        (500, 0.01, 118.4, 12, 5.02),
        (200, 0.01, 35.0, 12, 2.01),
        (500, 0.01, 318.5, 12, 5.04),
        (800, 0.01, 318.5, 10, 8.29),
        (800, 0.02, 318.5, 10, 16.15),
    ],
)
def test_a_pressures_band(
    full: float, band: float, at: float, bits: int, psi: float
) -> None:
    calibration = PressureCalibration(full_scale_psi=full, band_share=band)
    found = pressure_uncertainty(at, calibration, bits, DIVIDER)
    assert found == pytest.approx(psi, abs=0.006)


@pytest.mark.parametrize(
    ("f", "coarse", "fine", "sheet", "pointed"),
    [
        (20, 0.22, 0.056, 0.76, 0.54),
        (40, 0.17, 0.043, 0.63, 0.46),
        (60, 0.16, 0.039, 0.57, 0.43),
        (80, 0.16, 0.040, 0.58, 0.44),
        (100, 0.18, 0.046, 0.66, 0.48),
        (120, 0.23, 0.058, 0.83, 0.56),
        (140, 0.31, 0.077, 1.07, 0.69),
    ],
)
def test_a_thermistor_without_its_contact(
    f: float, coarse: float, fine: float, sheet: float, pointed: float
) -> None:
    celsius = (f - 32) / 1.8
    assert thermistor_step(celsius, SHEET, 10) * 1.8 == pytest.approx(coarse, abs=0.006)
    assert thermistor_step(celsius, SHEET, 12) * 1.8 == pytest.approx(fine, abs=0.0006)
    bare = replace(SHEET, contact_k=0.0)
    found = thermistor_uncertainty(celsius, bare, 10) * 1.8
    assert found == pytest.approx(sheet, abs=0.006)
    points = [(c, SHEET.ohm(c)) for c in (-10.0, 25.0, 70.0)]
    made = replace(ThermistorCalibration.from_points(*points), contact_k=0.0)
    assert thermistor_uncertainty(celsius, made, 10) * 1.8 == pytest.approx(
        pointed, abs=0.006
    )


def test_the_contact_rules_unless_the_clamp_is_insulated() -> None:
    bare = replace(SHEET, contact_k=1.1)
    assert thermistor_uncertainty(5, bare, 12) > 1.1
    assert thermistor_uncertainty(5, SHEET, 12) < 0.4


def test_the_resistance_belongs_to_the_temperature() -> None:
    assert SHEET.ohm(25) == pytest.approx(10_000, rel=1e-6)
    assert SHEET.celsius(SHEET.ohm(-12.5)) == pytest.approx(-12.5, abs=1e-6)

"""How far a sensor's reading may be off, and its smallest step: pure sums.

Independent parts are added as the root of their squares. A pressure has its
transducer's own band, two counts of the converter on the signal, two on the supply,
and the mismatch of two dividers of 0.1 % resistors. A thermistor has its own spread
(or what its calibration left), the fixed resistor, two counts, the warmth of its own
current, and the contact with the pipe, which rules unless the clamp is insulated.

References
----------
Data sheet of the converters (10 and 12 bit): integral and differential nonlinearity
of at most one count each, hence two counts.
"""

from math import hypot

from hardware.transducers import (
    DIVIDER,
    REFERENCE_V,
    PressureCalibration,
    ThermistorCalibration,
)

COUNTS_OFF = 2
"""Counts by which a converter may be off; see the references."""
DIVIDERS_SHARE = 0.0014
"""Mismatch of two dividers of 0.1 % resistors (computed: the root of two squares)."""
SUPPLY_V = 5.0
FIXED_SHARE = 0.001
"""Tolerance of the fixed resistor above a thermistor."""
DISSIPATION_W_PER_K = 0.002
"""Of a thermistor in its clamp; from memory of data sheets of that size."""


def pressure_step(
    calibration: PressureCalibration, bits: int, divider: float = DIVIDER
) -> float:
    """Give the pressure [psi] of one count."""
    volts = REFERENCE_V / (1 << bits) / divider
    return volts / _span_v(calibration) * calibration.full_scale_psi


def pressure_uncertainty(
    psi: float, calibration: PressureCalibration, bits: int, divider: float = DIVIDER
) -> float:
    """Give the half-width [psi] of a pressure's error band at ``psi`` gauge."""
    full = calibration.full_scale_psi
    span_v = _span_v(calibration)
    signal_v = calibration.zero_share * SUPPLY_V + psi / full * span_v
    count_v = REFERENCE_V / (1 << bits) / divider
    by_signal = COUNTS_OFF * count_v / span_v * full
    by_supply = COUNTS_OFF * count_v / SUPPLY_V * signal_v / span_v * full
    by_dividers = DIVIDERS_SHARE * signal_v / span_v * full
    return hypot(calibration.band_share * full, by_signal, by_supply, by_dividers)


def _span_v(calibration: PressureCalibration) -> float:
    return (calibration.full_share - calibration.zero_share) * SUPPLY_V


def thermistor_step(
    celsius: float, calibration: ThermistorCalibration, bits: int
) -> float:
    """Give the temperature [K] of one count at ``celsius``."""
    share = _share(celsius, calibration)
    return _moved(share + 1 / (1 << bits), celsius, calibration)


def thermistor_uncertainty(
    celsius: float, calibration: ThermistorCalibration, bits: int
) -> float:
    """Give the half-width [K] of a thermistor's error band, contact included."""
    share = _share(celsius, calibration)
    ohm = calibration.fixed_ohm * share / (1 - share)
    counts = _moved(share + COUNTS_OFF / (1 << bits), celsius, calibration)
    fixed = abs(calibration.celsius(ohm * (1 + FIXED_SHARE)) - celsius)
    watts = (REFERENCE_V / (ohm + calibration.fixed_ohm)) ** 2 * ohm
    warmth = 0.0 if calibration.calibrated else watts / DISSIPATION_W_PER_K
    spread = _spread(celsius, ohm, calibration)
    return hypot(spread, fixed, counts, warmth, calibration.contact_k)


def _spread(celsius: float, ohm: float, calibration: ThermistorCalibration) -> float:
    """Give the thermistor's own part [K]: its data sheet's, or its calibration's."""
    if calibration.calibrated:
        return calibration.points_k
    by_ohm = abs(calibration.celsius(ohm * (1 + calibration.ohm_share)) - celsius)
    kelvin = celsius + 273.15
    away = abs(1 / kelvin - 1 / 298.15)
    by_beta = kelvin * kelvin * away * calibration.beta_share
    return hypot(by_ohm, by_beta)


def _share(celsius: float, calibration: ThermistorCalibration) -> float:
    ohm = calibration.ohm(celsius)
    return ohm / (ohm + calibration.fixed_ohm)


def _moved(share: float, celsius: float, calibration: ThermistorCalibration) -> float:
    share = min(share, 0.999_9)
    ohm = calibration.fixed_ohm * share / (1 - share)
    return abs(calibration.celsius(ohm) - celsius)

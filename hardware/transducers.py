"""Volts at the converter to a pressure or a temperature, or to a named fault.

A pressure transducer is ratiometric: it gives 10 % of its own supply at zero and
90 % at full scale, 0.5 to 4.5 V on 5 V. Its signal and its supply reach the
converter through equal dividers, so the tolerance of supply and reference cancels.
The divider must bring the highest supply below the converter's reference, or the
supply input saturates and the pressure reads high.

A thermistor to ground, with a fixed resistor to the converter's own reference,
gives a share of that reference.

An open or shorted wire is a fault, never a number: a broken lead looks like a
pressure of zero, and that would be believed.

References
----------
J. S. Steinhart and S. R. Hart, Calibration curves for thermistors, Deep-Sea
Research 15 (1968) 497-503, for the curve (from memory of the paper).
"""

from dataclasses import dataclass
from math import cbrt, exp, isfinite, log, sqrt
from typing import Self

from hardware.ports import Fault, FaultName, Reading

REFERENCE_V = 3.3
DIVIDER = 10.0 / (6.8 + 10.0)  # 6.8 k above 10 k: 5.25 V arrives as 3.13 V
SUPPLY_V = (4.75, 5.25)  # 5 V within 5 %, as the dividers are sized for
K_AT_0_C = 273.15

# Zero drift and the sensor's own band may pass the ends of the scale a little;
# beyond that the signal is no measurement, and near the rails it is a broken wire.
_BEYOND = 0.02
_BROKEN = 0.05
_THERMISTOR_BROKEN = 0.01


def _finite(value: float, what: str) -> None:
    if not isfinite(value):
        raise ValueError(f"{what} must be a finite number, not {value}")


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureCalibration:
    """A ratiometric gauge transducer.

    ``full_scale_psi`` [psi gauge] stands on its label; ``zero_share`` and
    ``full_share`` are the shares of its supply at zero and at full scale;
    ``offset_psi`` is what it read in open air, to be taken off; ``band_share`` is its
    total error band from the data sheet, as a share of full scale.

    Raises
    ------
    ValueError
        If the scale is not above zero or the shares are not in rising order.
    """

    full_scale_psi: float
    zero_share: float = 0.1
    full_share: float = 0.9
    offset_psi: float = 0.0
    band_share: float = 0.01

    def __post_init__(self) -> None:
        if not 0 < self.band_share < 0.1:
            raise ValueError(
                f"a band of {self.band_share:.1%} of full scale is not one"
            )
        _finite(self.offset_psi, "the offset of a transducer")
        _finite(self.full_scale_psi, "the full scale of a transducer")
        if self.full_scale_psi <= 0:
            raise ValueError(f"a full scale of {self.full_scale_psi} psi is not one")
        if not _BROKEN < self.zero_share < self.full_share < 1 - _BROKEN:
            raise ValueError(
                f"zero at {self.zero_share} and full scale at {self.full_share} of "
                f"the supply must rise between {_BROKEN} and {1 - _BROKEN}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermistorCalibration:
    """A thermistor and the fixed resistor above it.

    ``a``, ``b`` and ``c`` are the coefficients of 1/T = a + b ln R + c (ln R)^3 with
    T in kelvin and R in ohm. Outside ``lowest_c`` to ``highest_c`` [C], the range of
    the sensor or of its calibration, a reading is a fault.

    For its error band: ``ohm_share`` and ``beta_share`` are the tolerances on its data
    sheet; where it was ``calibrated`` at points, ``points_k`` is what that left [K];
    ``contact_k`` is the clamp's own error [K], small only if strapped and insulated
    (a bare clamp: 1.1 K).
    """

    a: float
    b: float
    c: float
    lowest_c: float
    highest_c: float
    fixed_ohm: float = 10_000.0
    ohm_share: float = 0.01
    beta_share: float = 0.01
    calibrated: bool = False
    points_k: float = 0.1667  # 0.3 F
    contact_k: float = 0.2

    def __post_init__(self) -> None:
        for value in (self.a, self.b, self.c, self.lowest_c, self.highest_c):
            _finite(value, "a thermistor coefficient or limit")
        if not self.lowest_c < self.highest_c:
            raise ValueError(f"{self.lowest_c} to {self.highest_c} C is no range")
        if not (isfinite(self.fixed_ohm) and self.fixed_ohm > 0):
            raise ValueError(f"a fixed resistor of {self.fixed_ohm} ohm is not one")

    @classmethod
    def from_beta(
        cls, *, ohm_at_25_c: float, beta_k: float, lowest_c: float, highest_c: float
    ) -> Self:
        """Make from the two values on a data sheet, R at 25 C [ohm] and beta [K]."""
        if not (ohm_at_25_c > 0 and beta_k > 0):
            raise ValueError("the resistance at 25 C and beta must be above zero")
        a = 1 / (25 + K_AT_0_C) - log(ohm_at_25_c) / beta_k
        return cls(a=a, b=1 / beta_k, c=0.0, lowest_c=lowest_c, highest_c=highest_c)

    @classmethod
    def from_points(cls, *points: tuple[float, float]) -> Self:
        """Make from three points (C, ohm); it holds between the outer two.

        Raises
        ------
        ValueError
            If there are not three points, or resistance does not fall as
            temperature rises.
        """
        if len(points) != 3:
            raise ValueError(f"{len(points)} points were given; give three")
        (t1, r1), (t2, r2), (t3, r3) = sorted(points)
        if not (t1 < t2 < t3 and r1 > r2 > r3 > 0):
            raise ValueError(
                "resistance must fall as temperature rises; see the points"
            )
        l1, l2, l3 = log(r1), log(r2), log(r3)
        y1, y2, y3 = (1 / (t + K_AT_0_C) for t in (t1, t2, t3))
        slope2, slope3 = (y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1)
        c = (slope3 - slope2) / (l3 - l2) / (l1 + l2 + l3)
        b = slope2 - c * (l1 * l1 + l1 * l2 + l2 * l2)
        a = y1 - (b + l1 * l1 * c) * l1
        return cls(a=a, b=b, c=c, lowest_c=t1, highest_c=t3, calibrated=True)

    def celsius(self, ohm: float) -> float:
        """Give the temperature [C] at a resistance [ohm] above zero.

        It is infinite where the curve has no temperature.
        """
        x = log(ohm)
        inverse = self.a + self.b * x + self.c * x**3
        return 1 / inverse - K_AT_0_C if inverse > 0 else float("inf")

    def ohm(self, celsius: float) -> float:
        """Give the resistance [ohm] at a temperature [C]: the curve's real root."""
        inverse = 1 / (celsius + K_AT_0_C)
        if self.c == 0:
            return exp((inverse - self.a) / self.b)
        half = (self.a - inverse) / self.c / 2
        root = sqrt((self.b / self.c / 3) ** 3 + half * half)
        return exp(cbrt(root - half) - cbrt(root + half))


Calibration = PressureCalibration | ThermistorCalibration


def _fault(channel: str, name: FaultName, message: str) -> Fault:
    return Fault(channel=channel, name=name, message=f"{channel}: {message}")


def pressure(
    channel: str, signal_v: float, supply_v: float, calibration: PressureCalibration
) -> Reading | Fault:
    """Give a gauge pressure [psig] from two voltages at the converter [V].

    ``signal_v`` and ``supply_v`` come through equal dividers of :data:`DIVIDER`.
    A reading may pass either end of the scale by a fortieth of it.
    """
    rail_v = supply_v / DIVIDER
    if not SUPPLY_V[0] <= rail_v <= SUPPLY_V[1]:
        return _fault(
            channel,
            "no-supply",
            f"the sensors' supply is {rail_v:.2f} V, not 5 V; check its lead and fuse",
        )
    share = signal_v / supply_v
    if not share >= _BROKEN:
        return _fault(
            channel, "open", "no signal; its lead is broken or grounded, check the plug"
        )
    if share > 1 - _BROKEN:
        return _fault(
            channel, "shorted", "its signal touches the supply; check lead and plug"
        )
    zero, full = calibration.zero_share, calibration.full_share
    if not zero - _BEYOND <= share <= full + _BEYOND:
        return _fault(
            channel,
            "out-of-range",
            f"beyond the transducer's 0 to {calibration.full_scale_psi:g} psi; "
            "close the valve and read the gauge",
        )
    psi = (share - zero) / (full - zero) * calibration.full_scale_psi
    return Reading(channel=channel, value=psi - calibration.offset_psi, unit="psig")


def temperature(
    channel: str,
    signal_v: float,
    calibration: ThermistorCalibration,
    reference_v: float = REFERENCE_V,
) -> Reading | Fault:
    """Give a temperature [C] from the voltage on a thermistor [V]."""
    share = signal_v / reference_v
    if share > 1 - _THERMISTOR_BROKEN:
        return _fault(channel, "open", "its lead is broken; check the plug")
    if not share >= _THERMISTOR_BROKEN:
        return _fault(channel, "shorted", "its leads touch; check lead and plug")
    celsius = calibration.celsius(calibration.fixed_ohm * share / (1 - share))
    if not calibration.lowest_c <= celsius <= calibration.highest_c:
        return _fault(
            channel,
            "out-of-range",
            f"outside its {calibration.lowest_c:g} to {calibration.highest_c:g} C; "
            "check where the clamp sits",
        )
    return Reading(channel=channel, value=celsius, unit="C")

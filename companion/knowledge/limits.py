"""Limits, tolerances and waits, each with its reason and its source.

The values stand in ``limits.toml``; nothing here is a number. A limit that nobody
prescribes says so by its mark: "common practice, no source" or "own design".
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields

from companion.knowledge.properties import ReadingErrors
from companion.knowledge.quantities import (
    AbsolutePressure,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.tables import Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Seconds:
    """A wait or a duration [s]."""

    s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AirFlow:
    """Air over the indoor coil for its size [cubic feet a minute for each ton]."""

    cfm_per_ton: float


LimitValue = (
    PressureDifference
    | TemperatureDifference
    | Temperature
    | Seconds
    | AirFlow
    | AbsolutePressure
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitNote:
    """Why a limit is there and who says so."""

    why: str
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Every limit that the program works by.

    Attributes
    ----------
    pulse_rise_soft, pulse_rise_hard
        Rise of suction at which to close, and never to exceed, in one opening.
    pulse_saturation_rise
        The same cap as a rise of the saturation temperature.
    pulse_open_time, pulse_tone_time
        Longest opening without a restrictor, and the warning before it.
    superheat_floor, superheat_to_start, superheat_small_openings
        Superheat never to go below, to have before an opening, and below which only
        the smallest openings are called.
    halve_within_superheat, halve_within_subcooling
        Distance from the target at which pulses are halved.
    settle_far, settle_near, settle_final, settle_maker
        Waits after a pulse, before the readings that count, and by makers' manuals.
    running_before_reading, clamp_settle
        Waits before readings mean anything.
    outdoor_min, return_dry_bulb_min, return_dry_bulb_max, airflow_min
        Air temperatures between which a charge test is valid, and the least air.
    superheat_tolerance, subcooling_tolerance, split_tolerance
        Half-width of the pass band for the installer; ``_rater`` for a rater.
    valve_superheat_min, valve_superheat_max
        Superheat of a working expansion valve without maker's data.
    saturation_tolerance
        Difference allowed when a saturation temperature is worked out again.
    suction_gauge_error, liquid_gauge_error, clamp_error
        What the instruments may be off, each way.
    subcooling_high, subcooling_low, condensing_over_outdoor_max, frost_point,
    split_high, standing_off_max, discharge_max, coil_below_wet_bulb_max
        Signs of trouble; see ``diagnosis``.
    vacuum_target, vacuum_hold
        How deep a vacuum must be, and how long it must stay so when shut off.
    vacuum_moisture, vacuum_leak
        Where a vacuum that has risen levels off with moisture, and what it passes with
        a leak.
    cylinder_temperature_max
        Never warm a cylinder above this.
    notes
        Reason and citation by the name of the limit.
    """

    pulse_rise_soft: PressureDifference
    pulse_rise_hard: PressureDifference
    pulse_saturation_rise: TemperatureDifference
    pulse_open_time: Seconds
    pulse_tone_time: Seconds
    superheat_floor: TemperatureDifference
    superheat_to_start: TemperatureDifference
    superheat_small_openings: TemperatureDifference
    halve_within_superheat: TemperatureDifference
    halve_within_subcooling: TemperatureDifference
    settle_far: Seconds
    settle_near: Seconds
    settle_final: Seconds
    settle_maker: Seconds
    running_before_reading: Seconds
    clamp_settle: Seconds
    outdoor_min: Temperature
    return_dry_bulb_min: Temperature
    return_dry_bulb_max: Temperature
    airflow_min: AirFlow
    superheat_tolerance: TemperatureDifference
    superheat_tolerance_rater: TemperatureDifference
    subcooling_tolerance: TemperatureDifference
    subcooling_tolerance_rater: TemperatureDifference
    valve_superheat_min: TemperatureDifference
    valve_superheat_max: TemperatureDifference
    valve_superheat_min_rater: TemperatureDifference
    valve_superheat_max_rater: TemperatureDifference
    split_tolerance: TemperatureDifference
    saturation_tolerance: TemperatureDifference
    suction_gauge_error: PressureDifference
    liquid_gauge_error: PressureDifference
    clamp_error: TemperatureDifference
    subcooling_high: TemperatureDifference
    subcooling_low: TemperatureDifference
    condensing_over_outdoor_max: TemperatureDifference
    frost_point: Temperature
    split_high: TemperatureDifference
    standing_off_max: PressureDifference
    discharge_max: Temperature
    coil_below_wet_bulb_max: TemperatureDifference
    vacuum_target: AbsolutePressure
    vacuum_hold: Seconds
    vacuum_moisture: AbsolutePressure
    vacuum_leak: AbsolutePressure
    cylinder_temperature_max: Temperature
    notes: Mapping[str, LimitNote]

    @property
    def reading_errors(self) -> ReadingErrors:
        """What the technician's instruments may be off."""
        return ReadingErrors(
            suction=self.suction_gauge_error,
            liquid=self.liquid_gauge_error,
            line=self.clamp_error,
        )

    def citation(self, name: str) -> Citation:
        """Give who says so, by the name of the limit."""
        return self.notes[name].citation


LIMIT_TYPES = {
    field.name: field.type for field in fields(Limits) if field.name != "notes"
}
"""The type of value due for each limit."""

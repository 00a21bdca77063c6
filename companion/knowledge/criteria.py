"""Pass or fail, by the published criteria for a charge test.

The criteria judge what was reported, without the error band of the instruments (that
is in their tolerances); ``diagnosis`` is more careful before it allows adding. An
independent rater gets one degree more than the installer, so that a charge that just
passed does not fail on other instruments.

References
----------
California Energy Commission, 2008 Reference Residential Appendix RA3.2, pages RA3-9 and
RA3-13 to RA3-16; ENERGY STAR rater checklist, revision 07, items 1.2.11 and 1.2.12.
"""

from typing import Literal

from companion.knowledge.limits import Limits
from companion.knowledge.quantities import Temperature, TemperatureDifference

Judge = Literal["installer", "rater"]
ChargeVerdict = Literal["pass", "add", "remove"]
SplitVerdict = Literal["pass", "low-capacity", "low-airflow"]

_EDGE_K = 1e-6  # a difference of exactly the tolerance passes, through conversions


def judge_superheat(
    actual: TemperatureDifference,
    target: TemperatureDifference,
    limits: Limits,
    judge: Judge = "installer",
) -> ChargeVerdict:
    """Judge the superheat of a fixed orifice: high means add, low means remove."""
    tolerance = (
        limits.superheat_tolerance
        if judge == "installer"
        else limits.superheat_tolerance_rater
    )
    off_k = actual.k - target.k
    if abs(off_k) <= tolerance.k + _EDGE_K:
        return "pass"
    return "add" if off_k > 0 else "remove"


def judge_subcooling(
    actual: TemperatureDifference,
    target: TemperatureDifference,
    limits: Limits,
    judge: Judge = "installer",
) -> ChargeVerdict:
    """Judge the subcooling of a valve: low means add, high means remove."""
    tolerance = (
        limits.subcooling_tolerance
        if judge == "installer"
        else limits.subcooling_tolerance_rater
    )
    off_k = actual.k - target.k
    if abs(off_k) <= tolerance.k + _EDGE_K:
        return "pass"
    return "remove" if off_k > 0 else "add"


def valve_works(
    superheat: TemperatureDifference, limits: Limits, judge: Judge = "installer"
) -> bool:
    """Tell whether an expansion valve keeps its superheat, without maker's data."""
    low, high = (
        (limits.valve_superheat_min, limits.valve_superheat_max)
        if judge == "installer"
        else (limits.valve_superheat_min_rater, limits.valve_superheat_max_rater)
    )
    return low.k - _EDGE_K <= superheat.k <= high.k + _EDGE_K


def judge_split(
    actual: TemperatureDifference, target: TemperatureDifference, limits: Limits
) -> SplitVerdict:
    """Judge the air flow by the temperature split across the indoor coil.

    A split below the band passes the air flow, after it was measured again, and puts
    the capacity in doubt. What a split above the band means is from memory.
    """
    off_k = actual.k - target.k
    if abs(off_k) <= limits.split_tolerance.k + _EDGE_K:
        return "pass"
    return "low-airflow" if off_k > 0 else "low-capacity"


def outdoor_valid(outdoor: Temperature, limits: Limits) -> bool:
    """Tell whether it is warm enough outdoors for the standard charge test."""
    return outdoor.k >= limits.outdoor_min.k - _EDGE_K


def saturation_agrees(written: Temperature, again: Temperature, limits: Limits) -> bool:
    """Tell whether a saturation temperature worked out again bears the written one."""
    return abs((written - again).k) <= limits.saturation_tolerance.k + _EDGE_K

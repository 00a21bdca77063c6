"""How far to open, against the last time: the hand's own place is all there is to go by.

A slow turn is the usual word, because it finds a good place by the needle. The others
move the place the hand stood at: less where it was too far, more where nothing flows.
"""

from itertools import pairwise

from companion.job.charge_errors import short_by
from companion.job.coach.flowing import openings_without_rise, seen_to_flow
from companion.job.coach.learning import (
    answered,
    closed_for_an_odd_one,
    live,
    rate,
    rise_pa,
)
from companion.job.coach.moments import scale_used
from companion.job.coach.priors import slope_k_per_kg, tons
from companion.job.coach.sizing import for_missing, is_vapor
from companion.job.facts import Hint
from companion.job.know import Know
from companion.job.state import Job, Pulse

FLOW_KG_S_TON = 0.006
"""More flow than this for each ton wets the compressor. Own simulation: about 5 % of
liquid at its inlet."""
FAR_K = 3.0
"""So far from the target [K] a weak flow is worth a wider opening. Chosen."""
FAR_SHARE, WORKING_SHARE, WEAK_SHARE = 0.85, 0.60, 0.35
"""Shares of the limit's rise: over the first the hand opened far, under the last the
flow is weak; between the last two the place of the hand is good to come back to.
Chosen."""
SLOW_WEAK = 0.15
"""A slow turn that raised suction no more than this share has not gone too far: its
place is good to come back to. Own simulation."""
FAR_OVER = 1.8
"""So many times the rise that is worked up to is far over. Our own value."""
LONG_S = 3.5
"""A slow turn is given up only for openings longer than this [s]. Chosen."""
MOST_LESS = 4
""""Less" is said at most so often in a job."""


def next_hint(job: Job, know: Know, limit: float) -> Hint:
    """Choose the word for the next opening; ``limit`` is its longest time [s]."""
    if not job.pulses:
        return "slow"
    last = job.pulses[-1]
    dry = openings_without_rise(job)
    if dry:
        # A slow turn the scale saw little of was a short one, not a wrong place; and
        # after the look at the flow what was put right may flow well.
        short = dry == 1 and last.hint == "slow" and scale_used(job)
        return "slow" if short or dry == 2 else "more" if dry == 1 else "double"
    if is_vapor(job):
        return _vapor_hint(job, know, last, limit)
    if _far_over(know, last) and (last.hint != "slow" or len(job.pulses) == 1):
        return "slow"
    if _opened_far(job, know, last) or (answered(job) and _flow_high(job, know)):
        said = sum(
            pulse.hint == "less" and before.hint != "slow"
            for before, pulse in pairwise(job.pulses)
        )
        return "less" if said < MOST_LESS else "slow"
    return _steady_hint(job, know, last)


def _steady_hint(job: Job, know: Know, last: Pulse) -> Hint:
    """Choose for a hand that opened neither too far nor into too much flow.

    A slow turn is the usual; it is given up only where the last place of the hand is
    known to be good, and the opening long enough.
    """
    missing, rise = short_by(job), rise_pa(last)
    if missing is None or len(job.pulses) == 1:
        return "slow"
    if for_missing(job, know, "same", missing) <= LONG_S:
        return "slow"
    if last.hint == "slow" and rise is None:
        # Nobody saw the needle: its place may be good, or much too far.
        return "less" if seen_to_flow(job) else "slow"
    if last.hint == "slow" and rise is not None and rise > SLOW_WEAK * _work(know):
        # The needle goes on after the hand has stopped: its place was too far.
        return "less"
    if rise is None:
        return "same"
    share = rise / _work(know)
    if share > WORKING_SHARE:
        return "slow"
    weak = share <= WEAK_SHARE and missing >= FAR_K and last.hint == "same"
    return "more" if weak else "same"


def _work(know: Know) -> float:
    """Give the rise that is worked up to [Pa]."""
    return know.knowledge.limits.pulse_rise_soft.pa


def _far_over(know: Know, last: Pulse) -> bool:
    """Tell whether the sensor saw suction go far over its limit as the hand closed.

    "Less" is no help then: it would be too far again.
    """
    if last.base is None or last.peak is None or not live(last):
        return False
    return last.peak.si - last.base.si > FAR_OVER * _work(know)


def _opened_far(job: Job, know: Know, last: Pulse) -> bool:
    """Tell whether the hand opened so far that the pressure went to its limit.

    Not where the call went out for one reading that was odd.
    """
    odd = len(job.pulses) > 1 and closed_for_an_odd_one(last)
    if last.reason in ("pressure", "ahead") and not odd:
        return True
    rise = rise_pa(last)
    work = know.knowledge.limits.pulse_rise_soft.pa
    return rise is not None and rise > FAR_SHARE * work


def _flow_high(job: Job, know: Know) -> bool:
    flow = rate(job, know).at(0.0) / slope_k_per_kg(job)
    return flow > FLOW_KG_S_TON * tons(job)


def _vapor_hint(job: Job, know: Know, last: Pulse, limit: float) -> Hint:
    missing, rise = short_by(job), rise_pa(last)
    if last.reason in ("pressure", "ahead"):
        return "less"
    if missing is None or rise is None:
        return "same"
    share = rise / know.knowledge.limits.pulse_rise_soft.pa
    if for_missing(job, know, "same", missing) < limit / 2 or share > WORKING_SHARE:
        return "same"
    return "double" if share < WEAK_SHARE else "more"

"""How long, how far and up to what the next opening may go.

The first opening asks for a slow turn that stops when the needle has moved five: the
wording alone halves the pressure peaks, because nobody knows yet what a crack of this
valve lets through. Later ones are sized from a pessimistic belief, so that they come up
to the target from below and the last are the smallest.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from companion.job import read
from companion.job.amounts import Amount, amount
from companion.job.charge_errors import short_by
from companion.job.coach.evaporating import most_kg
from companion.job.coach.flowing import openings_without_rise, seen_to_flow
from companion.job.coach.hand import delay_s, ramp_for
from companion.job.coach.learning import (
    answered,
    closed_for_an_odd_one,
    flowed,
    live,
    rate,
    rise_pa,
)
from companion.job.coach.moments import moments, scale_used, suction
from companion.job.coach.priors import (
    AIM_K,
    CLOSE_UP_SHARE,
    SIGMAS,
    SIGMAS_FLAT,
    by_superheat,
    slope_k_per_kg,
    tons,
)
from companion.job.facts import Hint, OpenCalled
from companion.job.know import Know
from companion.job.opening_plans import (
    CLOSE_WORD_S,
    LIMIT_VAPOR_S,
    SHORTEST_S,
    SILENCE_LIQUID_S,
    SILENCE_VAPOR_S,
    ceiling,
    hard_ceiling,
)
from companion.job.state import Job, Pulse
from companion.knowledge.quantities import Mass

PROBE_S, PROBE_VAPOR_S = 3.5, 25.0
"""The first opening beyond the hand's delay, before anything is known [s]. Chosen."""
SLOW_MOST_S = 9.0
"""A slow turn is closed by then: longer openings come back to a known place [s].
Chosen."""
SECOND_S = 8.0
"""The second opening of liquid by spoken readings is no longer than this [s]. Chosen."""
FLOW_KG_S_TON = 0.006
"""More flow than this for each ton wets the compressor. Own simulation: about 5 % of
liquid at its inlet."""
LEAST_S = 0.5
"""The close call comes no sooner than this after the opening [s]."""
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
PREDICTED_MOST = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What is still to come: openings, and kilograms of refrigerant.

    ``at_least`` where a valve unit hides how much is missing.
    """

    openings: int
    kg: float
    at_least: bool


def plan_opening(job: Job, know: Know) -> OpenCalled:
    """Plan the next opening of a running unit from the latest readings."""
    base = suction(job, len(job.rounds) - 1)
    vapor = is_vapor(job)
    limit = LIMIT_VAPOR_S if vapor else know.knowledge.limits.pulse_open_time.s
    delay = delay_s(job)
    hint = _hint(job, know, limit)
    seconds = min(limit, _seconds(job, know, hint, limit))
    planned = min(limit - CLOSE_WORD_S, max(LEAST_S, seconds - delay))
    return OpenCalled(
        at=job.at,
        opening=len(job.pulses) + 1,
        planned_s=round(planned, 1),
        limit_s=limit,
        silence_s=SILENCE_VAPOR_S if vapor else SILENCE_LIQUID_S,
        base=None if base is None else amount(base),
        ceiling=None if base is None else amount(ceiling(job, know, base)),
        stop_weight=_stop_weight(job, know, seconds),
        hint=hint,
        hard=None if base is None else amount(hard_ceiling(job, know, base)),
        lead_s=round(delay, 1),
    )


def is_vapor(job: Job) -> bool:
    """Tell whether vapor is drawn."""
    return job.method is not None and job.method.draw == "vapor"


def _seconds(job: Job, know: Know, hint: Hint, limit: float) -> float:
    """Give how long the valve should really be open [s]."""
    missing = short_by(job)
    if missing is None:
        return SHORTEST_S + delay_s(job)
    wanted = _for_missing(job, know, hint, missing)
    if hint == "slow":
        wanted = ramp_for(wanted)
    return min(wanted, limit, _bound(job, hint))


def _for_missing(job: Job, know: Know, hint: Hint, missing: float) -> float:
    found = rate(job, know, hint)
    hidden = _flat(job) or (not by_superheat(job) and not answered(job))
    sigmas = SIGMAS_FLAT if hidden else SIGMAS
    to_aim = max(0.0, missing - AIM_K)
    return CLOSE_UP_SHARE * to_aim / found.at(sigmas)


def _bound(job: Job, hint: Hint) -> float:
    """Give the longest opening while hand and valve are hardly known [s]."""
    tried = [pulse for pulse in job.pulses if flowed(pulse)]
    if not tried:
        longer = 0.0 if not job.pulses else 4.0
        probe = PROBE_VAPOR_S if is_vapor(job) else PROBE_S
        return probe + longer + delay_s(job)
    if is_vapor(job):
        return math.inf
    if len(tried) == 1 and not live(job.pulses[-1]):
        return SECOND_S
    if not by_superheat(job) and not answered(job) and not _flat(job):
        return SECOND_S
    if hint == "slow" and openings_without_rise(job):
        return math.inf
    if hint in ("more", "double"):
        return SECOND_S + 3.0
    if hint == "slow":
        return SLOW_MOST_S
    return math.inf


def _flat(job: Job) -> bool:
    now = moments(job).get(len(job.pulses))
    return now is not None and now.flat


def _hint(job: Job, know: Know, limit: float) -> Hint:
    if not job.pulses:
        return "slow"
    last = job.pulses[-1]
    dry = openings_without_rise(job)
    if dry:
        # After the look at the flow a slow turn: what was put right may flow well now.
        return "more" if dry == 1 else "slow" if dry == 2 else "double"
    if is_vapor(job):
        return _vapor_hint(job, know, last, limit)
    if _far_over(know, last) and last.hint != "slow":
        return "slow"
    if _far_over(know, last) and len(job.pulses) == 1:
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
    if _for_missing(job, know, "same", missing) <= LONG_S:
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
    if _for_missing(job, know, "same", missing) < limit / 2 or share > WORKING_SHARE:
        return "same"
    return "double" if share < WEAK_SHARE else "more"


def _stop_weight(job: Job, know: Know, seconds: float) -> Amount | None:
    """Give the weight at which what the superheat can evaporate has gone in."""
    weighed = read.mass(job, f"cylinder-weight#{len(job.pulses)}")
    now = moments(job).get(len(job.pulses))
    if weighed is None or not scale_used(job) or is_vapor(job):
        return None
    superheat_k = 0.0 if now is None else (now.superheat_k or 0.0)
    most = most_kg(job, know, superheat_k, seconds)
    return amount(Mass(max(0.0, weighed.kg - most)))


def left(job: Job, know: Know) -> Left | None:
    """Predict what is still to come, running the plan forward on the middle belief."""
    missing = short_by(job)
    if missing is None:
        return None
    belief = rate(job, know)
    seconds_most = LIMIT_VAPOR_S if is_vapor(job) else SECOND_S + 5.0
    openings, still = 0, missing
    while still > 2 * AIM_K and openings < PREDICTED_MOST:
        sigmas = SIGMAS_FLAT if openings == 0 and _flat(job) else SIGMAS
        wanted = CLOSE_UP_SHARE * (still - AIM_K) / belief.at(sigmas)
        still -= max(LEAST_S + 2.0, min(wanted, seconds_most)) * belief.at(0.0)
        openings += 1
    kg = max(0.0, missing - AIM_K) / slope_k_per_kg(job)
    return Left(openings=openings, kg=kg, at_least=_flat(job))

"""How long, how far and up to what the next opening may go.

The first opening asks for a slow turn that stops when the needle has moved five: the
wording alone halves the pressure peaks, because nobody knows yet what a crack of this
valve lets through. Later ones are sized from a pessimistic belief, so that they come up
to the target from below and the last are the smallest.
"""

import math
from dataclasses import dataclass

from companion.job import read
from companion.job.amounts import Amount, amount
from companion.job.charge_errors import short_by
from companion.job.coach.evaporating import most_kg
from companion.job.coach.flowing import openings_without_rise
from companion.job.coach.hand import delay_s, open_seconds, ramp_for
from companion.job.coach.hinting import next_hint
from companion.job.coach.learning import (
    answered,
    flowed,
    live,
    rate,
)
from companion.job.coach.moments import moments, scale_used, suction
from companion.job.coach.priors import (
    AIM_K,
    SIGMAS,
    SIGMAS_FLAT,
    by_superheat,
    close_up_share,
    slope_k_per_kg,
)
from companion.job.coach.settling import near_band
from companion.job.coach.sizing import flat, for_missing, is_vapor
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
from companion.job.state import Job
from companion.knowledge.quantities import Mass

PROBE_S, PROBE_VAPOR_S = 3.5, 25.0
"""The first opening beyond the hand's delay, before anything is known [s]. Chosen."""
SLOW_MOST_S = 9.0
"""A slow turn is closed by then: longer openings come back to a known place [s].
Chosen."""
SECOND_S = 8.0
"""The second opening of liquid by spoken readings is no longer than this [s]. Chosen."""
LEAST_S = 0.5
"""The close call comes no sooner than this after the opening [s]."""
LEAST_NEAR_S, NEAR_LONGER = 5.0, 1.15
"""Near the target an opening is no longer than the first [s], or than the last one by
this share. Own simulation."""
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
    hint = next_hint(job, know, limit)
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


def _seconds(job: Job, know: Know, hint: Hint, limit: float) -> float:
    """Give how long the valve should really be open [s]."""
    missing = short_by(job)
    if missing is None:
        return SHORTEST_S + delay_s(job)
    wanted = for_missing(job, know, hint, missing)
    if hint == "slow":
        wanted = ramp_for(wanted)
    close = missing <= near_band(job, know).k
    if close and not is_vapor(job):
        wanted = min(wanted, _no_longer_than(job))
    if not close and is_vapor(job) and openings_without_rise(job):
        # A turn further is no reason for less time where nothing was seen to come.
        wanted = max(wanted, PROBE_VAPOR_S + delay_s(job))
    return min(wanted, limit, _bound(job, hint))


def _no_longer_than(job: Job) -> float:
    """Give how long an opening near the target may be at most [s].

    The last one may have been weak by chance, so this one is hardly longer than it.
    """
    if not job.pulses or openings_without_rise(job):
        return math.inf
    return max(LEAST_NEAR_S, NEAR_LONGER * open_seconds(job, job.pulses[-1]))


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
    if not by_superheat(job) and not answered(job) and not flat(job):
        return SECOND_S
    if hint == "slow" and openings_without_rise(job):
        return math.inf
    if hint in ("more", "double"):
        return SECOND_S + 3.0
    if hint == "slow":
        return SLOW_MOST_S
    return math.inf


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
        sigmas = SIGMAS_FLAT if openings == 0 and flat(job) else SIGMAS
        wanted = close_up_share(job) * (still - AIM_K) / belief.at(sigmas)
        still -= max(LEAST_S + 2.0, min(wanted, seconds_most)) * belief.at(0.0)
        openings += 1
    kg = max(0.0, missing - AIM_K) / slope_k_per_kg(job)
    return Left(openings=openings, kg=kg, at_least=flat(job))

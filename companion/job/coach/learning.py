"""The belief after the openings so far.

Only settled readings are learned from, and only from an opening in which something
flowed. On a valve unit the subcooling stays at zero while much is missing: what an
opening bought is then hidden, and only says that it was no less than what showed.
"""

import math
from statistics import fmean

from companion.job import read
from companion.job.coach.belief import Belief
from companion.job.coach.hand import (
    FIRST_DELAY_S,
    RAMP_S,
    REPORT_LATE_S,
    full_seconds,
    open_seconds,
)
from companion.job.coach.moments import Moment, moments
from companion.job.coach.priors import (
    EASED,
    HINT_FACTOR,
    HINT_SPREAD,
    READING_K,
    REPEAT,
    SLOPE_SPREAD,
    WIDER,
    by_superheat,
    first_rate,
    slope_k_per_kg,
    tons,
)
from companion.job.coach.watching import believed
from companion.job.facts import Hint
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job, Pulse
from companion.knowledge.quantities import PressureDifference

RISE = PressureDifference.from_psi(1.5)
"""Less than this above the start is no rise, by spoken readings. Our own value: a
gauge's own reading error."""
RISE_LIVE = PressureDifference.from_psi(0.9)
"""And by a sensor."""
TELLING_S = 6.0
"""An opening that was shorter than this tells nothing by not rising [s]. Chosen."""
SEEN_AFTER_S, SEEN_AFTER_LIVE_S = 4.5, 2.5
"""Only a pressure heard so long after the opening tells whether it rises [s]. Chosen:
hose, gauge and speech are late."""
SCALE_KG = 0.02
"""Two weights differ by about this much of themselves [kg]: a scale of 10 g steps."""
_DOSE_G = {
    "R-22": (0.38, 1.0),
    "R-32": (0.23, 0.65),
    "R-134a": (0.45, 1.2),
    "R-407C": (0.36, 0.95),
    "R-410A": (0.28, 0.60),
    "R-454B": (0.27, 0.75),
}
"""Liquid for each psi of rise, second and ton, on an orifice and on a valve [g]. Own
simulation; R-134a estimated beside the others."""
DOSE_SPREAD, DOSE_SPREAD_VALVE = 0.60, 0.85
"""How surely a rise tells the dose [ln]. Own simulation, with the slope's spread."""


def rate(job: Job, know: Know, hint: Hint = "same") -> Belief:
    """Give the belief about kelvin per second of open valve, for the next opening."""
    found = first_rate(job)
    settled = moments(job)
    for count, pulse in enumerate(job.pulses):
        if count:
            found = _told(found, pulse.hint)
        if flowed(pulse):
            found = _after(job, know, found, count, settled)
        if "ease-off" in pulse.advised:
            found = found.shifted(EASED, 0.15)
        if "open-more" in pulse.advised:
            found = found.shifted(HINT_FACTOR["more"], 0.15)
    return _told(found, hint) if job.pulses else found


def _told(found: Belief, hint: Hint) -> Belief:
    return found.shifted(HINT_FACTOR[hint], HINT_SPREAD[hint])


def _after(
    job: Job, know: Know, found: Belief, count: int, settled: dict[int, Moment]
) -> Belief:
    pulse = job.pulses[count]
    seconds = full_seconds(job, pulse)
    weighed = weighed_kg(job, count)
    dose = dose_kg(job, know, pulse)
    if weighed is not None:
        spread = math.hypot(SLOPE_SPREAD, SCALE_KG / weighed)
        found = found.told(slope_k_per_kg(job) * weighed / seconds, spread)
    elif dose is not None:
        spread = DOSE_SPREAD if by_superheat(job) else DOSE_SPREAD_VALVE
        found = found.told(max(1e-4, slope_k_per_kg(job) * dose / seconds), spread)
    before, after = settled.get(count), settled.get(count + 1)
    if before is None or after is None:
        return found.widened(WIDER)
    if before.short_k is None or after.short_k is None or after.flat:
        return found.widened(WIDER)
    change, noise = before.short_k - after.short_k, READING_K * 1.2
    if before.flat:
        found = found.at_least(seconds, change, noise, REPEAT)
    else:
        found = found.answered(seconds, change, noise, REPEAT)
    return found.widened(WIDER)


def answered(job: Job) -> bool:
    """Tell whether an opening's whole effect has shown in the target reading."""
    settled = moments(job)
    return any(
        (before := settled.get(count)) is not None
        and (after := settled.get(count + 1)) is not None
        and not before.flat
        and not after.flat
        for count in range(len(job.pulses))
    )


def flowed(pulse: Pulse) -> bool:
    """Tell whether anything seemed to flow; True where nobody looked."""
    rise = _level_rise(pulse)
    if rise is None or pulse.open_s < TELLING_S:
        return True
    return rise >= (RISE_LIVE if live(pulse) else RISE).pa


def _level_rise(pulse: Pulse) -> float | None:
    """Give how far suction stood above the start, on the mean of the late readings.

    The highest of several would take a reader's own spread for a rise.
    """
    late = _late(pulse)
    if not pulse.seen or pulse.base is None:
        return rise_pa(pulse)
    return None if not late else fmean(late) - pulse.base.si


def _late(pulse: Pulse) -> list[float]:
    """Give the believed pressures that were heard late enough to tell [Pa]."""
    if pulse.base is None or not pulse.seen:
        return []
    called = pulse.open_called_at or pulse.seen[0].at
    since = began_at(pulse, called) + _tells_after_s(pulse)
    kept = believed(pulse.seen, pulse.base.si, called)
    return [each.pa for each in kept if each.at >= since]


def _tells_after_s(pulse: Pulse) -> float:
    late = SEEN_AFTER_LIVE_S if live(pulse) else SEEN_AFTER_S
    return late + RAMP_S / 2 if pulse.hint == "slow" else late


def live(pulse: Pulse) -> bool:
    """Tell whether a sensor watched the opening."""
    return any(each.live for each in pulse.seen)


def rise_pa(pulse: Pulse) -> float | None:
    """Give by how much suction rose at most [Pa], or None where it was not seen.

    A reading taken just after the opening says nothing yet.
    """
    if pulse.base is None or pulse.peak is None:
        return None
    if not pulse.seen:
        return pulse.peak.si - pulse.base.si
    began = pulse.open_called_at or pulse.seen[0].at
    kept = believed(pulse.seen, pulse.base.si, began)
    if not _late(pulse):
        return None
    top = max((each.pa for each in kept), default=pulse.base.si)
    return top - pulse.base.si


def closed_for_an_odd_one(pulse: Pulse) -> bool:
    """Tell whether the last reading of an opening does not fit those before it."""
    if pulse.base is None or not pulse.seen:
        return False
    began = pulse.open_called_at or pulse.seen[0].at
    kept = believed(pulse.seen, pulse.base.si, began)
    return not kept or kept[-1] != pulse.seen[-1]


def weighed_kg(job: Job, count: int) -> float | None:
    """Give what an opening brought by the scale [kg], where that is surely something."""
    before = read.mass(job, f"cylinder-weight#{count}")
    after = read.mass(job, f"cylinder-weight#{count + 1}")
    if before is None or after is None:
        return None
    gone = before.kg - after.kg
    return gone if gone > SCALE_KG else None


def began_at(pulse: Pulse, called: float) -> float:
    """Give about when the hand opened [s on the job's time line]."""
    if pulse.opened_at is None:
        return called + FIRST_DELAY_S
    return max(called, pulse.opened_at - REPORT_LATE_S)


def dose_kg(job: Job, know: Know, pulse: Pulse) -> float | None:
    """Estimate what an opening of liquid brought from the rise it made [kg]."""
    refrigerant = unit_refrigerant(job, know)
    rise = rise_pa(pulse)
    if rise is None or refrigerant is None or job.method is None:
        return None
    known = _DOSE_G.get(refrigerant.designation)
    if known is None or job.method.draw != "liquid" or not flowed(pulse):
        return None
    grams = known[0 if by_superheat(job) else 1]
    psi_s = PressureDifference(rise).psi * open_seconds(job, pulse)
    return grams * psi_s * tons(job) / 1000

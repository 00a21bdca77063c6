"""While the valve is open: when to close, ease off, or open a little more.

A pressure that is called out is old when it is heard, and the hand needs time after the
call. So the call goes out when the pressure, carried on as it moves, would pass the
hard limit before the hand has closed.
"""

from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from companion.job.coach.hand import SPOKEN_LATE_S
from companion.job.facts import Advice, CloseReason
from companion.job.state import Job, Open, Opening, Seen
from companion.knowledge.quantities import PressureDifference

_PSI = PressureDifference.from_psi
MARGINS = (_PSI(2).pa, _PSI(2).pa, _PSI(1).pa)
"""Kept below the hard limit, in the first, second and later openings. Our own values."""
CARRIED = 0.8
"""A rise slows down as it goes: so much of its speed is carried on. Own simulation."""
LIVE_LATE_S = 0.3
"""A sensor's reading is this old [s]."""
LEAST_GAP_S = 0.8
"""Speed is taken over no shorter time than this [s]; a sensor is noisy."""
LEAST_GONE_S, LEAST_GONE_LIVE_S = 2.0, 1.0
"""The first reading's speed is taken over no less than this [s]: nobody knows just
when the hand opened."""
ODD = _PSI(10).pa
ODD_PER_S = _PSI(1.5).pa
"""A jump beyond this is odd: nothing is told to the hand because of it."""
NO_RISE_AFTER_S, NO_RISE_SLOW_S = 8.0, 12.0
"""No rise is called so only after the valve has been open this long, and while a slow
turn may still be under way [s]."""
NO_RISE = _PSI(1.5).pa
ROSE, LATELY = _PSI(2.5).pa, 3
"""A rise this clear in one of so many openings shows that cylinder and hose are open.
Our own values."""
LIQUID_AT_MOST_S = 30.0
"""Openings allowed longer than this are of vapor [s]."""
LEFT_S = 3.0
"""Advice to the hand is given only where this much of the opening is left [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What one pressure means: close for a reason, or advise the hand, or neither."""

    close: CloseReason | None = None
    advice: Advice | None = None


NOTHING = Look()


def look(job: Job, pa: float, at: float, *, live: bool, planned_end: float) -> Look:
    """Judge a pressure [Pa gauge] heard at ``at`` with the valve open."""
    valve = job.valve
    if not isinstance(valve, Opening | Open):
        return NOTHING
    plan = valve.plan if isinstance(valve, Open) else valve
    if plan.base is None or plan.hard is None or plan.ceiling is None:
        return NOTHING
    now = Seen(at=at, pa=pa, live=live)
    seen = believed((*valve.seen, now), plan.base.si, plan.called_at)
    if not seen or seen[-1] is not now:
        return NOTHING
    base, seen = _base(plan.base.si, seen), seen[:-1]
    lag = LIVE_LATE_S if live else SPOKEN_LATE_S
    rising = _speed(seen, base, pa, at, _began(valve), lag)
    ahead = pa + CARRIED * max(0.0, rising) * (lag + plan.lead_s)
    hard = base + plan.hard.si - plan.base.si
    margin = MARGINS[min(plan.number, len(MARGINS)) - 1]
    if ahead > hard - margin:
        return Look(close="ahead")
    left = planned_end - at > LEFT_S
    soft = base + plan.ceiling.si - plan.base.si
    if left and ahead > soft and not valve.advised:
        return Look(advice="ease-off")
    if left and seen and not _rose_lately(job) and _no_rise(valve, base, pa, at):
        return Look(advice="open-more")
    return NOTHING


def _began(valve: Opening | Open) -> float:
    """Give the moment from which suction could rise."""
    plan = valve.plan if isinstance(valve, Open) else valve
    if isinstance(valve, Open):
        return max(plan.called_at + 0.5, valve.opened_at - 2.0)
    return plan.called_at + min(plan.lead_s, 2.0)


def _base(base: float, seen: tuple[Seen, ...]) -> float:
    """Give the starting pressure, lowered where two readings in agreement lie below."""
    for before, after in pairwise(seen):
        low = max(before.pa, after.pa)
        agree = abs(before.pa - after.pa) <= _PSI(3).pa
        if agree and not after.live and low < base - _PSI(4).pa:
            base = fmean((before.pa, after.pa))
    return base


def believed(seen: tuple[Seen, ...], base: float, since: float) -> tuple[Seen, ...]:
    """Give the readings of an opening without the odd ones.

    A jump too large for the time is odd, unless the reading before it jumped as far.
    """
    kept: list[Seen] = []
    doubted: Seen | None = None
    for each in seen:
        last_pa, last_at = (kept[-1].pa, kept[-1].at) if kept else (base, since)
        if abs(each.pa - last_pa) <= ODD + ODD_PER_S * (each.at - last_at):
            kept.append(each)
            doubted = None
        elif doubted is not None and abs(each.pa - doubted.pa) <= ODD:
            kept += [doubted, each]
            doubted = None
        else:
            doubted = each
    return tuple(kept)


def _speed(
    seen: tuple[Seen, ...], base: float, pa: float, at: float, began: float, lag: float
) -> float:
    """Give how fast suction rises [Pa/s], from the reading before or from the start."""
    for before in reversed(seen):
        if at - before.at >= LEAST_GAP_S:
            return (pa - before.pa) / (at - before.at)
    gone = at - lag - began
    least = LEAST_GONE_LIVE_S if lag == LIVE_LATE_S else LEAST_GONE_S
    return (pa - base) / max(gone, least) if pa > base else 0.0


def _rose_lately(job: Job) -> bool:
    """Tell whether one of the latest openings raised suction clearly.

    A weak flow is then a hand that turned back too far, and the next opening is told
    more: only where nothing was seen to flow is the hand told so at once.
    """
    for pulse in job.pulses[-LATELY:]:
        if pulse.base is None or not pulse.seen:
            continue
        began = pulse.open_called_at or pulse.seen[0].at
        kept = believed(pulse.seen, pulse.base.si, began)
        if any(each.pa - pulse.base.si >= ROSE for each in kept):
            return True
    return False


def _no_rise(valve: Opening | Open, base: float, pa: float, at: float) -> bool:
    if "open-more" in valve.advised or not valve.seen:
        return False
    plan = valve.plan if isinstance(valve, Open) else valve
    if plan.limit_s > LIQUID_AT_MOST_S:
        return False  # vapor moves the needle little; the next opening is told more
    patience = NO_RISE_SLOW_S if plan.hint == "slow" else NO_RISE_AFTER_S
    if at - plan.called_at < patience + plan.lead_s:
        return False
    return max(pa, *(each.pa for each in valve.seen)) < base + NO_RISE

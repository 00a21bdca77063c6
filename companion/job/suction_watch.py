"""The suction sensor while the charging valve counts as closed: kept, and read.

A spoken job knows suction only when it is asked for. A sensor knows it all the time,
so two things are seen that nobody would say: that suction has moved on since the
readings an opening was planned from, and that it climbs although the valve counts as
closed. Falling or level suction proves nothing, and never that the valve is closed.
"""

from companion.job.amounts import amount
from companion.job.charge_errors import short_by
from companion.job.facts import SuctionWatched, ValvePassed
from companion.job.finish import connected
from companion.job.state import Closed, Job, Seen
from companion.job.turn import Turn
from companion.knowledge.quantities import GaugePressure, PressureDifference

_PSI = PressureDifference.from_psi
STEP_PA, EVERY_S = _PSI(1).pa, 15.0
"""What the sensor shows is kept when it has changed so much, or after so long [s]. Our
own values."""
MOVED_ON_PA = _PSI(4).pa
"""Suction that has moved so far since a round makes the round old. Our own value."""
AT_REST_S, CLIMBING_S = 45.0, 30.0
"""Suction falls after an opening, and hunts on a valve unit: only what comes so long
after it is looked at, and a climb has to last so long [s]. Own simulation."""
CLIMB_PA = _PSI(3).pa
"""A climb of this much is no unit settling. Own simulation: healthy units stay under
it, a charging valve that passes a twentieth of its flow reaches it in a minute."""


def watch(turn: Turn, shown: GaugePressure, *, cylinder_open: bool) -> None:
    """Keep what the sensor shows, and call out suction that climbs."""
    job = turn.job
    if not isinstance(job.valve, Closed) or not connected(job):
        return
    if job.charging_ended is not None:
        return
    last = job.watched[-1] if job.watched else None
    young = last is not None and turn.at - last.at < EVERY_S
    if young and last is not None and abs(shown.pa - last.pa) < STEP_PA:
        return
    turn.remember(SuctionWatched(at=turn.at, pressure=amount(shown)))
    if cylinder_open and not turn.job.passing and climbs(turn.job):
        turn.remember(ValvePassed(at=turn.at))
        turn.say("valve-passes")


def climbs(job: Job) -> bool:
    """Tell whether suction climbs since it came to rest after the last opening."""
    if not job.pulses or job.pulses[-1].base is None or not job.watched:
        return False
    since = job.disturbed_at + AT_REST_S
    rested = [each for each in job.watched if each.at >= since]
    if not rested:
        return False
    now, least = rested[-1], min(rested, key=lambda each: each.pa)
    if now.at - least.at < CLIMBING_S or now.pa < job.pulses[-1].base.si:
        return False
    return now.pa - least.pa >= CLIMB_PA


def moved_on(job: Job) -> bool:
    """Tell whether suction has moved on since the latest round was judged."""
    if not job.rounds or not job.watched or short_by(job) is None:
        return False
    then = _at(job.watched, job.rounds[-1].at)
    return abs(job.watched[-1].pa - then.pa) >= MOVED_ON_PA


def _at(watched: tuple[Seen, ...], at: float) -> Seen:
    """Give what was shown last before a moment, or first after it."""
    before = [each for each in watched if each.at <= at]
    return before[-1] if before else watched[0]

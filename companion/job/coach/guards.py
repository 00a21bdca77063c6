"""What to stop for, from the settled readings.

A single reading never ends a job: what looks wrong is read again first, and only what
is found twice counts. Liquid that comes back, a head pressure that climbs, and suction
that falls although refrigerant went in each have their own word.
"""

from dataclasses import dataclass

from companion.job import read
from companion.job.coach.flowing import brought_nothing
from companion.job.coach.learning import flowed, rise_pa
from companion.job.coach.moments import suction, taken
from companion.job.coach.priors import by_superheat
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job
from companion.knowledge.properties import OutsideTable, Superheat
from companion.knowledge.quantities import (
    PressureDifference,
    TemperatureDifference,
)

_PSI, _F = PressureDifference.from_psi, TemperatureDifference.from_f
HEAD_SHARE, HEAD_MORE = 1.15, _PSI(20)
"""Liquid pressure above this share of its first value, and so much more, is a head
that climbs. Our own values, from our own simulation."""
SUCTION_DROP = _F(5)
"""Suction saturation so far below its first value, although refrigerant went in, means
that something else happens: air, ice. Our own value."""
BELOW_FLOOR = _F(2)
"""An orifice's superheat this far under the floor is liquid coming back: readings
differ by as much. Our own value."""
VALVE_FLOOD = _F(1)
"""A valve unit's superheat below this is liquid coming back. Our own value."""
NOT_FALLEN_SHARE, NOT_FALLEN = 0.75, _PSI(4.5)
"""Suction that kept this share of its rise, and more, did not fall back. Our own
values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """Something to stop for, once it is found twice."""

    id: str
    reason: str


def alarm(
    job: Job, know: Know, superheat: Superheat | None, short_k: float
) -> Alarm | None:
    """Give what the readings of this round should be stopped for, or None.

    ``short_k`` is how far they are from the target.
    """
    return (
        _flood(job, know, superheat)
        or _head(job)
        or _drift(job, know)
        or _no_flow(job, short_k)
    )


def _flood(job: Job, know: Know, found: Superheat | None) -> Alarm | None:
    if found is None:
        return None
    floor_k = know.knowledge.limits.superheat_floor.k - BELOW_FLOOR.k
    least_k = floor_k if by_superheat(job) else VALVE_FLOOD.k
    if found.value.k >= least_k:
        return None
    return Alarm(
        id="flood-back",
        reason="Superheat is under its floor: liquid may reach the compressor. Add "
        "nothing; look at air flow and the metering device.",
    )


def _head(job: Job) -> Alarm | None:
    first, now = (
        taken(job, "liquid-pressure", 0),
        taken(job, "liquid-pressure", len(job.rounds)),
    )
    if first is None or now is None or now <= HEAD_SHARE * first + HEAD_MORE.pa:
        return None
    return Alarm(
        id="head-climb",
        reason="Liquid pressure climbs too far. Look at the outdoor fan and coil, and "
        "for too much charge, before anything else.",
    )


def _drift(job: Job, know: Know) -> Alarm | None:
    first, now = suction(job, 0), suction(job, len(job.rounds))
    refrigerant = unit_refrigerant(job, know)
    fed = any(flowed(pulse) for pulse in job.pulses)
    if first is None or now is None or refrigerant is None or not fed or now >= first:
        return None
    ambient, properties = read.ambient(job), know.knowledge.properties
    ends = [
        properties.saturation_temperature(refrigerant, "dew", each.absolute(ambient))
        for each in (first, now)
        if each.pa + ambient.pa > 0
    ]
    if len(ends) < 2 or any(isinstance(each, OutsideTable) for each in ends):
        return None
    before, after = ends
    if isinstance(before, OutsideTable) or isinstance(after, OutsideTable):
        return None
    if (before - after).k < SUCTION_DROP.k:
        return None
    return Alarm(
        id="drift",
        reason="Suction falls although refrigerant went in. Look at the air flow, the "
        "filter and for ice on the coil.",
    )


def _no_flow(job: Job, short_k: float) -> Alarm | None:
    if not brought_nothing(job, short_k):
        return None
    return Alarm(
        id="no-rise",
        reason="Several openings brought nothing. The cylinder is empty or shut, the "
        "hose is blocked, or it is on the wrong port.",
    )


def not_fallen(job: Job) -> bool:
    """Tell whether suction of this round kept most of the rise of the last opening."""
    if not job.pulses or job.pulses[-1].base is None:
        return False
    now, rise = suction(job, len(job.rounds)), rise_pa(job.pulses[-1])
    if now is None or rise is None or rise <= 0:
        return False
    kept = now.pa - job.pulses[-1].base.si
    return kept > NOT_FALLEN_SHARE * rise + NOT_FALLEN.pa


def room_to_open(job: Job, know: Know) -> bool:
    """Tell whether the superheat of the latest round leaves room for an opening."""
    latest = job.rounds[-1].superheat
    least_k = know.knowledge.limits.superheat_floor.k - BELOW_FLOOR.k
    if not by_superheat(job):
        least_k = VALVE_FLOOD.k
    return latest is None or latest.si >= least_k

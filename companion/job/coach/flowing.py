"""Whether anything flows: openings that bring nothing, and who has looked why.

A rise that is not heard proves little: a hand that opened too little on a large unit
raises the needle by no more than a reader's own error. So a spell of such openings is
looked at from three sides before a job ends for it: the technician looks at cylinder,
hose and port, a slow wide opening follows, and a full set of readings, each taken
twice, shows that nothing has changed.
"""

from companion.job import read
from companion.job.coach.hand import open_seconds
from companion.job.coach.learning import RISE, TELLING_S, flowed, rise_pa
from companion.job.coach.moments import Moment, moments, openings_before, suction
from companion.job.coach.priors import by_superheat
from companion.job.state import Job, Pulse
from companion.knowledge.quantities import (
    PressureDifference,
    TemperatureDifference,
)

_PSI, _F = PressureDifference.from_psi, TemperatureDifference.from_f
NO_RISE_MOST = 4
"""So many openings in a row without any rise end the job, the last of them after the
technician has looked at cylinder, hose and port."""
NO_RISE_LOOK = 2
"""After so many of them the technician is asked to look."""
WEAK_MOST, WEAK_RISE = 5, _PSI(3)
"""So many whose rise was weaker than this, or not seen, and that changed nothing, count
as much. Our own values."""
WEAK_WHILE_SHORT = _F(5)
"""Nearer to the target openings are small by plan, and change little. Our own value."""
NO_RISE_CHANGE, NO_RISE_HEAT = _F(2), _F(4)
"""Openings that changed the target reading, or a valve unit's superheat, by less than
this changed nothing. Our own values, some three errors of a spoken reading."""
DRAWN_KG, WEIGHED_S = 0.03, 1.5
"""A cylinder that lost less than this in an opening longer than that gave nothing [kg,
s]. Our own values: twice what two weights differ by."""
SEEN, SEEN_HEAT = _F(1.2), _F(2.5)
"""A change of the target reading, and of the superheat, that shows that something came
in. Our own values, some two errors of a spoken reading."""
SUCTION_UP = _PSI(1)
"""Settled suction that went up by this while superheat came down shows the same, where a
valve keeps the target reading flat for long. Our own value."""
NO_RISE_OPEN_S, NO_RISE_VAPOR_S = 15.0, 120.0
"""Shorter openings in sum prove nothing, of liquid and of vapor [s]. Our own values."""


def openings_without_rise(job: Job) -> int:
    """Count the openings in a row, up to now, that raised no suction and changed little."""
    settled = moments(job)
    count = 0
    for number in range(len(job.pulses), 0, -1):
        before, after = settled.get(number - 1), settled.get(number)
        if _came_nearer(before, after):
            break
        left_kg = _left_the_cylinder_kg(job, number)
        if left_kg is None and _too_short_to_tell(job, job.pulses[number - 1]):
            continue
        if left_kg is None and flowed(job.pulses[number - 1]):
            break
        if left_kg is not None and left_kg >= DRAWN_KG:
            break
        count += 1
    return count


def _too_short_to_tell(job: Job, pulse: Pulse) -> bool:
    """Tell whether an opening says neither that vapor flowed nor that it did not."""
    if job.method is None or job.method.draw != "vapor" or pulse.open_s >= TELLING_S:
        return False
    rise = rise_pa(pulse)
    return rise is None or rise < RISE.pa


def _left_the_cylinder_kg(job: Job, number: int) -> float | None:
    """Give what an opening took by the scale [kg], or None where that is not known.

    An opening of a second or two takes too little to be weighed.
    """
    before = read.mass(job, f"cylinder-weight#{number - 1}")
    after = read.mass(job, f"cylinder-weight#{number}")
    if before is None or after is None or job.pulses[number - 1].open_s < WEIGHED_S:
        return None
    return before.kg - after.kg


def _came_nearer(before: Moment | None, after: Moment | None) -> bool:
    if before is None or after is None:
        return False
    if before.short_k is None or after.short_k is None:
        return False
    return before.short_k - after.short_k >= NO_RISE_CHANGE.k


def seen_to_flow(job: Job) -> bool:
    """Tell whether the last opening brought something, by suction or by the readings."""
    if not job.pulses:
        return False
    left_kg = _left_the_cylinder_kg(job, len(job.pulses))
    if left_kg is not None:
        return left_kg >= DRAWN_KG
    rise = rise_pa(job.pulses[-1])
    if rise is not None and rise >= RISE.pa:
        return True
    settled = moments(job)
    before, now = settled.get(len(job.pulses) - 1), settled.get(len(job.pulses))
    if before is None or now is None:
        return False
    for was, found, least in (
        (before.short_k, now.short_k, SEEN.k),
        (before.superheat_k, now.superheat_k, SEEN_HEAT.k),
    ):
        if was is not None and found is not None and was - found >= least:
            return True
    return False


def look_at_flow(job: Job, short_k: float) -> bool:
    """Tell whether the technician is to look at cylinder, hose and port now.

    Once for a spell of openings that brought nothing, and again after each opening
    that still brings nothing.
    """
    if openings_without_rise(job) >= NO_RISE_LOOK:
        return True
    return _weak_spell(job, short_k, WEAK_MOST - 1, 2 * _least_s(job)) > 0


def _weak_spell(job: Job, short_k: float, most: int, least_s: float) -> int:
    """Give how many weak openings changed nothing, far from the target; 0 for none."""
    weak = _weak_openings(job)
    if weak < most or short_k < WEAK_WHILE_SHORT.k:
        return 0
    return weak if _no_effect(job, short_k, weak, least_s) else 0


def brought_nothing(job: Job, short_k: float) -> bool:
    """Tell whether openings bring nothing although somebody has looked at the flow."""
    spell, looked = openings_without_rise(job), looked_at_flow(job)
    if spell < NO_RISE_MOST or not _no_effect(job, short_k, spell, _least_s(job)):
        spell = _weak_spell(job, short_k, WEAK_MOST, 3 * _least_s(job))
    return looked is not None and len(job.pulses) - spell < looked < len(job.pulses)


def _least_s(job: Job) -> float:
    vapor = job.method is not None and job.method.draw == "vapor"
    return NO_RISE_VAPOR_S if vapor else NO_RISE_OPEN_S


def looked_at_flow(job: Job) -> int | None:
    """Give how many openings there had been when somebody last looked at the flow."""
    rounds = [
        int(key.partition("@")[2])
        for key in job.answers
        if key.startswith("flow-checked@")
    ]
    latest = max(rounds, default=0)
    if not 0 < latest <= len(job.rounds):
        return None
    return openings_before(job, job.rounds[latest - 1])


def _weak_openings(job: Job) -> int:
    """Count the openings in a row, up to now, whose rise was small or not seen."""
    count = 0
    for pulse in reversed(job.pulses):
        rise = rise_pa(pulse)
        if rise is not None and rise >= WEAK_RISE.pa:
            break
        count += 1
    return count


def _suction_up_pa(job: Job, count: int) -> float:
    """Give by how much settled suction rose over the latest openings, so many [Pa]."""
    base = job.pulses[-count].base
    now = suction(job, len(job.rounds)) or suction(job, len(job.rounds) - 1)
    return 0.0 if base is None or now is None else now.pa - base.si


def _no_effect(job: Job, short_k: float, count: int, least_s: float) -> bool:
    """Tell whether the latest openings, so many, changed nothing."""
    latest = job.pulses[-count:]
    if sum(open_seconds(job, pulse) for pulse in latest) < least_s:
        return False
    settled = moments(job)
    before, now = settled.get(len(job.pulses) - count), settled.get(len(job.pulses))
    if before is None or before.short_k is None:
        return False
    if (
        now is not None
        and before.superheat_k is not None
        and now.superheat_k is not None
    ):
        went_k = before.superheat_k - now.superheat_k
        if not by_superheat(job) and (
            abs(went_k) > NO_RISE_HEAT.k
            or (went_k >= SEEN_HEAT.k and _suction_up_pa(job, count) >= SUCTION_UP.pa)
        ):
            return False
    return abs(before.short_k - short_k) <= NO_RISE_CHANGE.k

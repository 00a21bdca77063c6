"""How late the hand is: learned from the words that answer our own.

Spoken words reach us late: a pressure called out was seen some 1.5 s ago, and "flowing"
or "fully shut" is said after the hand has moved. What is left of the time between our
word and the technician's is the hand's own delay.
"""

import math

from companion.job.state import Job, Pulse

FIRST_DELAY_S = 2.5
"""The hand's delay before it is known [s]. Chosen: 1 to 4 s are assumed throughout."""
LEAST_S, MOST_S = 1.0, 4.0
REPORT_LATE_S = 2.0
"""A hand that has moved is heard to have moved this much later [s]. Chosen."""
SPOKEN_LATE_S = 1.5
"""A pressure called out was seen this long ago [s]. Chosen."""
NEW_SHARE = 0.3
RAMP_S = 5.0
"""A slow turn takes about this long until the needle has moved [s]. Chosen."""


def delay_s(job: Job) -> float:
    """Give the hand's delay as learned so far [s]."""
    found = FIRST_DELAY_S
    for pulse in job.pulses:
        for measured in _measured(pulse):
            found += NEW_SHARE * (min(max(measured, LEAST_S), MOST_S) - found)
    return found


def _measured(pulse: Pulse) -> list[float]:
    found = []
    if pulse.open_called_at is not None and pulse.opened_at is not None:
        found.append(pulse.opened_at - pulse.open_called_at - REPORT_LATE_S)
    if pulse.close_called_at is not None and pulse.repeats == 0:
        found.append(pulse.ended_at - pulse.close_called_at - REPORT_LATE_S)
    return found


def open_seconds(job: Job, pulse: Pulse) -> float:
    """Give how long the valve really was open, as far as can be told [s]."""
    if pulse.close_called_at is None or pulse.open_called_at is None:
        return max(1.0, pulse.open_s)
    delay = delay_s(job)
    begin = pulse.open_called_at + delay
    if pulse.opened_at is not None:
        begin = max(pulse.open_called_at + 0.5, pulse.opened_at - REPORT_LATE_S)
    end = pulse.close_called_at + delay
    if pulse.repeats:
        end = max(end, pulse.ended_at - REPORT_LATE_S)
    return max(0.5, end - begin)


def full_seconds(job: Job, pulse: Pulse) -> float:
    """Give the open time as if the valve had stood at its last place throughout [s]."""
    seconds = open_seconds(job, pulse)
    if pulse.hint == "slow":
        seconds = ramped(seconds)
    return max(0.2, seconds)


def ramped(seconds: float) -> float:
    """Give what a slow turn of so many seconds is worth in seconds fully turned."""
    if seconds < RAMP_S:
        return seconds * seconds / (2 * RAMP_S)
    return seconds - RAMP_S / 2


def ramp_for(full: float) -> float:
    """Give how long a slow turn must be open to be worth so many seconds."""
    if full < RAMP_S / 2:
        return math.sqrt(2 * RAMP_S * full)
    return full + RAMP_S / 2

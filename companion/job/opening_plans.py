"""How long, and up to what, the next opening may go.

Common practice, no source: suction may rise 10 to 15 psi above the start and no more,
and a throttled liquid opening lasts at most about 15 s. Because the same psi means
different degrees on different refrigerants, the rise is capped in degrees of
saturation as well. How long the next opening is planned is the coach's part; see
``coach.planning``.
"""

import math

from companion.job import read
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job
from companion.knowledge.properties import OutsideTable
from companion.knowledge.quantities import (
    GaugePressure,
    PressureDifference,
    Temperature,
)

CLOSE_WORD_S = 1.0
"""Time the close call itself takes, so that it ends by the limit [s]."""
SHORTEST_S = 2.0
"""No opening is planned shorter than this: a hand cannot do it [s]. Our own value."""
FIRST_LIQUID_S = 6.0
"""The first liquid opening, before anything is known of hand and valve [s]. Our own
value; the study of the coach starts its first opening at 2.5 s plus the reaction."""
LIMIT_VAPOR_S = 180.0
"""The longest vapor opening before readings are taken again [s]. Our own value."""
SHARE = 0.6
"""The share of the missing charge that one opening aims at. Our own value."""
MOST_OPENINGS = 30
"""More openings than this in one job mean that something else is wrong. Our own
value."""
SILENCE_LIQUID_S = 8.0
"""A liquid opening is closed after this long without a word [s]: two missed
call-outs. Our own value."""
SILENCE_VAPOR_S = 20.0
"""A vapor opening is closed after this long without a word [s]. Our own value."""


STEP_US, STEP_SI = GaugePressure.from_psi(1), GaugePressure.from_bar(0.1)
"""What a limit is rounded down to, in the technician's units."""


def ceiling(job: Job, know: Know, base: GaugePressure) -> GaugePressure:
    """Give the suction pressure at which the valve must be closed.

    The lower of the trade's soft limit in psi and the limit in degrees of saturation,
    rounded down to what is said: the number named to the technician is the limit.
    """
    exact = _exact_ceiling(job, know, base)
    step = STEP_US if job.units == "us" else STEP_SI
    rounded = math.floor(exact.pa / step.pa + 1e-6) * step.pa
    return GaugePressure(rounded if rounded > base.pa else exact.pa)


def hard_ceiling(job: Job, know: Know, base: GaugePressure) -> GaugePressure:
    """Give the suction pressure never to be passed: the call goes out ahead of it.

    The lower of the hard limit in psi and of 6 F of saturation, but no lower than the
    number named to the technician, at which the valve is closed at once.
    """
    limits = know.knowledge.limits
    hard = _lower(job, know, base, limits.pulse_rise_hard)
    return max(hard, ceiling(job, know, base))


def _exact_ceiling(job: Job, know: Know, base: GaugePressure) -> GaugePressure:
    return _lower(job, know, base, know.knowledge.limits.pulse_rise_soft)


def _lower(
    job: Job, know: Know, base: GaugePressure, rise: PressureDifference
) -> GaugePressure:
    limits = know.knowledge.limits
    by_psi = GaugePressure(base.pa + rise.pa)
    refrigerant = unit_refrigerant(job, know)
    if refrigerant is None:
        return by_psi
    ambient = read.ambient(job)
    properties = know.knowledge.properties
    start = properties.saturation_temperature(
        refrigerant, "dew", base.absolute(ambient)
    )
    if isinstance(start, OutsideTable):
        return by_psi
    top = Temperature(start.k + limits.pulse_saturation_rise.k)
    pressure = properties.saturation_pressure(refrigerant, "dew", top)
    if isinstance(pressure, OutsideTable):
        return by_psi
    return min(by_psi, pressure.gauge(ambient))

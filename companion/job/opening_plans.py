"""How long, and up to what, the next opening may go.

Common practice, no source: suction may rise 10 to 15 psi above the start and no more,
and a throttled liquid opening lasts at most about 15 s. Because the same psi means
different degrees on different refrigerants, the rise is capped in degrees of
saturation as well. The first opening is short; later ones are sized from what the
earlier ones bought, and never grow past twice the last one.
"""

import math

from companion.job import read
from companion.job.amounts import amount
from companion.job.charge_errors import round_short_by, short_by
from companion.job.facts import OpenCalled
from companion.job.know import Know
from companion.job.prepare import unit_refrigerant
from companion.job.state import Job
from companion.knowledge.properties import OutsideTable
from companion.knowledge.quantities import GaugePressure, Temperature

CLOSE_WORD_S = 1.0
"""Time the close call itself takes, so that it ends by the limit [s]."""
SHORTEST_S = 2.0
"""No opening is planned shorter than this: a hand cannot do it [s]. Our own value."""
FIRST_LIQUID_S = 6.0
"""The first liquid opening, before anything is known of hand and valve [s]. Our own
value; the study of the coach starts its first opening at 2.5 s plus the reaction."""
FIRST_VAPOR_S = 30.0
"""The first vapor opening [s]. Our own value: vapor carries no slug."""
LIMIT_VAPOR_S = 60.0
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


def plan_opening(job: Job, know: Know) -> OpenCalled:
    """Plan the next opening of a running unit from the latest readings."""
    base = read.pressure(job, f"suction-pressure@{len(job.rounds) - 1}")
    vapor = job.method is not None and job.method.draw == "vapor"
    limit = LIMIT_VAPOR_S if vapor else know.knowledge.limits.pulse_open_time.s
    longest = limit - CLOSE_WORD_S
    return OpenCalled(
        at=job.at,
        opening=len(job.pulses) + 1,
        planned_s=min(
            longest, _seconds(job, FIRST_VAPOR_S if vapor else FIRST_LIQUID_S)
        ),
        limit_s=limit,
        silence_s=SILENCE_VAPOR_S if vapor else SILENCE_LIQUID_S,
        base=None if base is None else amount(base),
        ceiling=None if base is None else amount(ceiling(job, know, base)),
        stop_weight=None,
    )


def ceiling(job: Job, know: Know, base: GaugePressure) -> GaugePressure:
    """Give the suction pressure at which the valve must be closed.

    The lower of the trade's soft limit in psi and the limit in degrees of saturation,
    rounded down to what is said: the number named to the technician is the limit.
    """
    exact = _exact_ceiling(job, know, base)
    step = STEP_US if job.units == "us" else STEP_SI
    rounded = math.floor(exact.pa / step.pa + 1e-6) * step.pa
    return GaugePressure(rounded if rounded > base.pa else exact.pa)


def _exact_ceiling(job: Job, know: Know, base: GaugePressure) -> GaugePressure:
    limits = know.knowledge.limits
    by_psi = GaugePressure(base.pa + limits.pulse_rise_soft.pa)
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


def _seconds(job: Job, first: float) -> float:
    if not job.pulses:
        return first
    last = max(SHORTEST_S, job.pulses[-1].open_s)
    missing = short_by(job)
    rate = _rate(job)
    if missing is None:
        return last
    if rate is None:
        return last * 1.5
    return max(SHORTEST_S, min(2 * last, SHARE * missing / rate))


def _rate(job: Job) -> float | None:
    """Give the kelvin an open second has bought so far, seen pessimistically."""
    first, now = round_short_by(job, 0), short_by(job)
    before = round_short_by(job, len(job.rounds) - 2)
    open_s = sum(max(1.0, pulse.open_s) for pulse in job.pulses)
    if first is None or now is None or open_s <= 0:
        return None
    rates = [(first - now) / open_s]
    if before is not None:
        rates.append((before - now) / max(1.0, job.pulses[-1].open_s))
    best = max(rates)
    return best if best > 0.02 else None

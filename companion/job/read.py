"""Read answers out of a job: short, typed questions to the record so far."""

from companion.job.facts import Answer, NameAnswer, NumberAnswer, OptionAnswer
from companion.job.state import Job
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Mass,
    Temperature,
    TemperatureDifference,
)

RUNNING = ("cooling", "heating")
"""Unit states in which the compressor runs."""
NO_CHARGE = ("evacuated", "empty")
"""Unit states in which the unit holds no refrigerant."""


def option(job: Job, key: str) -> str | None:
    """Give the option answered, or None while there is no answer."""
    answer = job.answers.get(key)
    return answer.option if isinstance(answer, OptionAnswer) else None


def name(job: Job, key: str) -> str | None:
    """Give the designation answered, or None."""
    answer = job.answers.get(key)
    return answer.designation if isinstance(answer, NameAnswer) else None


def known(job: Job, key: str) -> Answer | None:
    """Give the answer, or None while it was not asked."""
    return job.answers.get(key)


def _si(job: Job, key: str, of: str) -> float | None:
    answer = job.answers.get(key)
    if not isinstance(answer, NumberAnswer) or answer.amount.of != of:
        return None
    return answer.amount.si


def pressure(job: Job, key: str) -> GaugePressure | None:
    """Give the gauge pressure answered, or None."""
    si = _si(job, key, "gauge-pressure")
    return None if si is None else GaugePressure(si)


def temperature(job: Job, key: str) -> Temperature | None:
    """Give the temperature answered, or None."""
    si = _si(job, key, "temperature")
    return None if si is None else Temperature(si)


def difference(job: Job, key: str) -> TemperatureDifference | None:
    """Give the temperature difference answered, or None."""
    si = _si(job, key, "temperature-difference")
    return None if si is None else TemperatureDifference(si)


def mass(job: Job, key: str) -> Mass | None:
    """Give the mass answered, or None."""
    si = _si(job, key, "mass")
    return None if si is None else Mass(si)


def ambient(job: Job) -> AbsolutePressure:
    """Give the air pressure the gauges were zeroed to."""
    if job.ambient is None:
        raise ValueError("the job has not begun: no air pressure is set")
    return AbsolutePressure(job.ambient.si)


def running(job: Job) -> bool:
    """Tell whether the compressor runs, as far as was said."""
    return option(job, "unit-state") in RUNNING


def no_charge(job: Job) -> bool:
    """Tell whether the unit was said to hold no refrigerant."""
    return option(job, "unit-state") in NO_CHARGE


def fixed_orifice(job: Job) -> bool:
    """Tell whether the metering device is a fixed orifice."""
    return option(job, "metering") == "fixed-orifice"

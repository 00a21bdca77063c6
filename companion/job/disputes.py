"""A spoken reading and the sensor's: compared, said aloud, settled by the technician.

Two instruments agree when they differ by no more than both may be off together. Where
they do not, neither is taken quietly: the spoken value is read back beside the
sensor's. A yes lets it count, and that sensor is not believed again in this job; a no
leaves the question to the sensor. With the valve open there is no time for questions:
the valve is called closed, and the next reading is asked for aloud.

Sensors that were lost, or are disputed or not believed, answer nothing; a disputed one
still helps to close.
"""

from companion.job.amounts import Amount, amount
from companion.job.facts import Answer, NumberAnswer, SensorDisputed, SensorSettled
from companion.job.inputs import Heard, Sampled
from companion.job.know import Know
from companion.job.questions import base_key
from companion.job.state import Job
from companion.job.turn import Turn
from companion.knowledge.properties import ReadingErrors
from companion.knowledge.quantities import (
    PressureDifference,
    Quantity,
    TemperatureDifference,
)

SENSED = (
    "suction-pressure",
    "liquid-pressure",
    "suction-line-temperature",
    "liquid-line-temperature",
    "outdoor-temperature",
    "cylinder-weight",
)
"""Readings that a sensor can give."""
WEIGHT_KG = 0.15
"""A scale read aloud may be off by so much from its own line (own value)."""
OPEN_FACTOR = 2.0
"""With the valve open the reading moves while it is said: so many times the band."""


def sensor(reading: str) -> str:
    """Give the device name of a reading's sensor."""
    return f"{reading}-sensor"


def believed(job: Job, reading: str) -> bool:
    """Tell whether a sensor may answer for the technician."""
    return reading not in job.disputed and reading not in job.disbelieved


def differs(turn: Turn, key: str, answer: Answer, heard: Heard) -> bool:
    """Tell whether the sensor shows another value than an answer; then it is disputed.

    Agreement settles an older dispute in the sensor's favor.
    """
    reading = base_key(key)
    sensed = _sensed(turn.job, reading, heard.sensed)
    if sensed is None or not isinstance(answer, NumberAnswer):
        return False
    said = answer.amount
    if _differ(turn.know, reading, said, sensed, heard.sensed, 1.0):
        turn.remember(
            SensorDisputed(at=turn.at, reading=reading, said=said, sensed=sensed)
        )
        return True
    if reading in turn.job.disputed:
        settle(turn, key, believed=True)
    return False


def settle(turn: Turn, key: str, *, believed: bool) -> None:
    """Remember whether the technician lets a sensor count from now on."""
    turn.remember(SensorSettled(at=turn.at, reading=base_key(key), believed=believed))


def differs_while_open(
    turn: Turn, reading: str, value: Quantity, heard: Heard
) -> bool | None:
    """Compare a value called out while the valve is open.

    Returns
    -------
    bool or None
        True where it differs, was heard surely and is now disputed; None where it
        differs, but was not heard surely and is lower than the sensor's: then it may
        be a mishearing, and the sensor stands. False otherwise.
    """
    said, sensed = amount(value), _sensed(turn.job, reading, heard.sensed)
    if sensed is None or said.of != sensed.of:
        return False
    if not _differ(turn.know, reading, said, sensed, heard.sensed, OPEN_FACTOR):
        return False
    if not heard.sure:
        return None if said.si < sensed.si else False
    turn.remember(SensorDisputed(at=turn.at, reading=reading, said=said, sensed=sensed))
    turn.urge("sensor-differs", said=said, sensed=sensed)
    return True


def _sensed(job: Job, reading: str, sample: Sampled | None) -> Amount | None:
    if sample is None or reading in job.disbelieved:
        return None
    value = sample.readings.get(reading)
    return None if value is None else amount(value)


def _differ(
    know: Know,
    reading: str,
    said: Amount,
    sensed: Amount,
    sample: Sampled | None,
    factor: float,
) -> bool:
    if said.of != sensed.of:
        return False
    limits = know.knowledge.limits
    own = 0.0 if sample is None else sample.errors.get(reading, 0.0)
    match said.of:
        case "gauge-pressure" if reading == "liquid-pressure":
            band = limits.liquid_gauge_error.pa + own
        case "gauge-pressure":
            band = limits.suction_gauge_error.pa + own
        case "temperature":
            band = 2 * limits.clamp_error.k + own
        case _:
            band = WEIGHT_KG + own
    return abs(said.si - sensed.si) > factor * band


def errors_of(job: Job, know: Know, suffix: str) -> ReadingErrors:
    """Give what the instruments of a round may be off: a sensor's own, else the usual.

    The line's error is the larger of its two clamps', as one figure serves both.
    """
    usual = know.knowledge.limits.reading_errors
    suction = _error(job, "suction-pressure" + suffix)
    liquid = _error(job, "liquid-pressure" + suffix)
    lines = [
        usual.line.k if found is None else found
        for found in (
            _error(job, "suction-line-temperature" + suffix),
            _error(job, "liquid-line-temperature" + suffix),
        )
    ]
    return ReadingErrors(
        suction=usual.suction if suction is None else PressureDifference(suction),
        liquid=usual.liquid if liquid is None else PressureDifference(liquid),
        line=TemperatureDifference(max(lines)),
    )


def _error(job: Job, key: str) -> float | None:
    answer = job.answers.get(key)
    return answer.error if isinstance(answer, NumberAnswer) else None

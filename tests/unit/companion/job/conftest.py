"""Jobs made by hand: answers as plain values, everything else as it would be folded."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from companion.job.amounts import Amount, amount
from companion.job.facts import (
    Answer,
    MethodChosen,
    NameAnswer,
    NumberAnswer,
    OpenCalled,
    OptionAnswer,
    RoundJudged,
)
from companion.job.state import Job, Pulse
from companion.knowledge.quantities import (
    GaugePressure,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
)
from tests.conftest import SEA_LEVEL

PSI, F, OZ = GaugePressure.from_psi, Temperature.from_f, Mass.from_oz
DF = TemperatureDifference.from_f


def answer_of(value: str | Quantity | Answer) -> Answer:
    """Make an answer: a designation, an option or a number."""
    if isinstance(value, str):
        named = value.startswith("R-")
        return NameAnswer(designation=value) if named else OptionAnswer(option=value)
    if isinstance(value, NumberAnswer | NameAnswer | OptionAnswer):
        return value
    return NumberAnswer(amount=amount(value))


def job_of(answers: Mapping[str, str | Quantity] | None = None, **fields: Any) -> Job:
    """Make a begun job with these answers."""
    given = {key: answer_of(value) for key, value in (answers or {}).items()}
    return Job(
        id="j1",
        ambient=amount(SEA_LEVEL),
        answers=MappingProxyType(given),
        order=tuple(given),
        **fields,
    )


def method(
    name: str = "liquid-pulses", *, stop_by: str = "subcooling", target_k: float = 5.0
) -> MethodChosen:
    """Make a decided method."""
    return MethodChosen(
        at=0,
        method=name,
        draw="vapor" if name == "vapor" else "liquid",
        cylinder="upright" if name == "vapor" else "inverted",
        stop_by=stop_by,
        reason="Because.",
        source="a book",
        target=None if stop_by == "weight" else difference(target_k),
    )


def difference(kelvin: float) -> Amount:
    return Amount(of="temperature-difference", si=kelvin)


def judged(
    number: int = 0,
    verdict: str = "add",
    *,
    purpose: str = "check",
    superheat: float | None = None,
    subcooling: float | None = None,
    target: float | None = 5.0,
    finding: str = "undercharged",
) -> RoundJudged:
    """Make a judged round; temperatures are differences [K]."""
    values = (superheat, subcooling, target)
    sh, sc, wanted = (None if each is None else difference(each) for each in values)
    return RoundJudged(
        at=100 * number + 50,
        round=number,
        purpose=purpose,
        superheat=sh,
        subcooling=sc,
        uncertainty=None,
        target=wanted,
        verdict=verdict,
        finding=finding,
        reason="",
    )


def pulse(
    number: int,
    open_s: float = 10.0,
    *,
    base: float | None = 120.0,
    peak: float | None = 125.0,
) -> Pulse:
    """Make an opening that is over; pressures in psig."""
    return Pulse(
        number=number,
        ended_at=100 * number,
        open_s=open_s,
        base=None if base is None else amount(PSI(base)),
        peak=None if peak is None else amount(PSI(peak)),
        reason="planned",
    )


def opening_plan(**fields: Any) -> OpenCalled:
    """Make a plan of an opening on a running unit."""
    plan: dict[str, Any] = {
        "at": 100.0,
        "opening": 1,
        "planned_s": 6.0,
        "limit_s": 15.0,
        "silence_s": 8.0,
        "base": amount(PSI(120)),
        "ceiling": amount(PSI(130)),
        "stop_weight": None,
    }
    return OpenCalled(**{**plan, **fields})

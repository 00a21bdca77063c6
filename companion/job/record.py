"""Facts to one job record: what was found, decided, done and added, in order.

The record is worked out from the facts alone, so it can be made again at any time, also
for a job that was cut off.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from companion.job.amounts import Amount
from companion.job.facts import (
    Answer,
    AnswerAccepted,
    CloseCalled,
    CloseReported,
    DeviceWentMissing,
    Fact,
    Halted,
    JobFinished,
    JobStarted,
    MethodChosen,
    OpenCalled,
    OpenReadingSeen,
    PowerReturned,
    RoundJudged,
    SensorDisputed,
    SensorSettled,
    StepAnswered,
    WentBack,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningEntry:
    """One opening of the charging valve.

    ``open_s`` runs from the word to open until "closed" was confirmed.
    """

    number: int
    called_at: float
    open_s: float | None
    base: Amount | None
    peak: Amount | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEntry:
    """One checklist step and its last answer."""

    key: str
    revision: int
    answer: str
    result: str
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRecord:
    """One job, for people.

    Attributes
    ----------
    answers
        What counted, by key, in the order of the last acceptance.
    events
        Halts, power cuts and lost devices, with their time.
    """

    job: str
    started_at: float
    ended_at: float
    ambient: Amount | None
    answers: dict[str, Answer]
    steps: tuple[StepEntry, ...]
    method: MethodChosen | None
    rounds: tuple[RoundJudged, ...]
    openings: tuple[OpeningEntry, ...]
    events: tuple[tuple[float, str], ...]
    added: Amount | None
    outcome: str


@dataclass(slots=True)
class _Draft:
    job: str = ""
    started_at: float = 0.0
    ambient: Amount | None = None
    answers: dict[str, Answer] = field(default_factory=dict)
    steps: dict[str, StepEntry] = field(default_factory=dict)
    method: MethodChosen | None = None
    rounds: list[RoundJudged] = field(default_factory=list)
    openings: dict[int, OpeningEntry] = field(default_factory=dict)
    events: list[tuple[float, str]] = field(default_factory=list)
    added: Amount | None = None
    outcome: str = ""


def job_record(facts: Sequence[Fact]) -> JobRecord:
    """Make the record of a job from its facts, oldest first."""
    draft = _Draft()
    for fact in facts:
        _enter(draft, fact)
    return JobRecord(
        job=draft.job,
        started_at=draft.started_at,
        ended_at=facts[-1].at if facts else 0.0,
        ambient=draft.ambient,
        answers=draft.answers,
        steps=tuple(draft.steps.values()),
        method=draft.method,
        rounds=tuple(draft.rounds),
        openings=tuple(draft.openings.values()),
        events=tuple(draft.events),
        added=draft.added,
        outcome=draft.outcome,
    )


def _enter(draft: _Draft, fact: Fact) -> None:  # noqa: C901 - one match
    match fact:
        case JobStarted():
            draft.job, draft.started_at = fact.job, fact.at
            draft.ambient = fact.ambient
        case AnswerAccepted():
            draft.answers.pop(fact.key, None)
            draft.answers[fact.key] = fact.answer
        case WentBack():
            draft.answers.pop(fact.key, None)
            draft.steps.pop(fact.key, None)
            if draft.rounds and _of_round(fact.key) == draft.rounds[-1].round:
                draft.rounds.pop()
        case StepAnswered():
            draft.steps[fact.key] = StepEntry(
                key=fact.key,
                revision=fact.revision,
                answer=fact.answer,
                result=fact.result,
                at=fact.at,
            )
        case MethodChosen():
            draft.method = fact
        case RoundJudged():
            draft.rounds.append(fact)
        case OpenCalled() | OpenReadingSeen() | CloseCalled() | CloseReported():
            _enter_opening(draft, fact)
        case JobFinished():
            draft.added, draft.outcome = fact.added, fact.outcome
        case Halted():
            draft.events.append((fact.at, f"stopped: {fact.reason}"))
        case PowerReturned():
            draft.events.append((fact.at, "the companion started again"))
        case DeviceWentMissing():
            draft.events.append((fact.at, f"{fact.device} lost"))
        case SensorDisputed():
            draft.events.append((fact.at, f"{fact.reading}: sensor disputed"))
        case SensorSettled():
            how = "is believed" if fact.believed else "is not believed"
            draft.events.append((fact.at, f"{fact.reading}: the sensor {how}"))
        case _:
            pass


def _of_round(key: str) -> int | None:
    number = key.rpartition("@")[2].rstrip("bc") if "@" in key else ""
    return int(number) if number.isdigit() else None


def _enter_opening(
    draft: _Draft, fact: OpenCalled | OpenReadingSeen | CloseCalled | CloseReported
) -> None:
    known = draft.openings.get(fact.opening)
    match fact:
        case OpenCalled():
            draft.openings[fact.opening] = OpeningEntry(
                number=fact.opening,
                called_at=fact.at,
                open_s=None,
                base=fact.base,
                peak=None,
                reason="",
            )
        case OpenReadingSeen() if known is not None:
            if fact.reading.of == "gauge-pressure" and (
                known.peak is None or fact.reading.si > known.peak.si
            ):
                draft.openings[fact.opening] = _with(known, peak=fact.reading)
        case CloseCalled() if known is not None and not known.reason:
            draft.openings[fact.opening] = _with(known, reason=fact.reason)
        case CloseReported() if known is not None and known.open_s is None:
            seconds = fact.at - known.called_at
            draft.openings[fact.opening] = _with(known, open_s=seconds)
        case _:
            pass


def _with(
    entry: OpeningEntry,
    *,
    peak: Amount | None = None,
    reason: str = "",
    open_s: float | None = None,
) -> OpeningEntry:
    return OpeningEntry(
        number=entry.number,
        called_at=entry.called_at,
        open_s=entry.open_s if open_s is None else open_s,
        base=entry.base,
        peak=peak or entry.peak,
        reason=reason or entry.reason,
    )

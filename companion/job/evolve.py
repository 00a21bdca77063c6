"""Fold one fact into a job. The only way a job changes.

Every kind of fact has its branch; the type checker lists what is missing when one is
added. Nothing is decided here: a fact says what happened, and folding it must give
the same job for ever, whatever the deciding code becomes later.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import assert_never

from companion.job.amounts import Amount
from companion.job.dial import Dial
from companion.job.facts import (
    Answer,
    AnswerAccepted,
    AnswerDenied,
    AnswerDoubted,
    AnswerRefused,
    AnswerWeighed,
    ChargingEnded,
    CloseCalled,
    CloseRepeated,
    CloseReported,
    Continued,
    DeviceCameBack,
    DeviceWentMissing,
    DialTurned,
    Explained,
    Fact,
    Halted,
    HandAdvised,
    Hint,
    JobFinished,
    JobStarted,
    MethodChosen,
    NumberAnswer,
    OpenCalled,
    OpenReadingSeen,
    OpenReported,
    OptionAnswer,
    PowerReturned,
    QuestionAsked,
    RoundJudged,
    SensorDisputed,
    SensorSettled,
    SilenceNoticed,
    StepAnswered,
    SuctionWatched,
    ValvePassed,
    WaitEnded,
    WaitStarted,
    WentBack,
)
from companion.job.state import (
    Asked,
    Closed,
    Closing,
    Job,
    Open,
    Opening,
    Pending,
    Pulse,
    Seen,
    Waiting,
    Weighed,
)
from companion.job.trust import KEYS_FROM, KNOWN_AFTER, combined

REACTION_S = 4.0
"""Time from the word "open" until the hand has turned, at the slowest [s].

Our own design value: reaction delays of 1 to 4 s are assumed throughout.
"""


HOSES_OFF = "close-out/hoses-off"
"""The step after which no hose is on the unit any more."""


def fold(facts: Iterable[Fact], job: Job | None = None) -> Job:
    """Fold facts, oldest first, into a job (a new one if none is given)."""
    result = Job() if job is None else job
    for fact in facts:
        result = evolve(result, fact)
    return result


def evolve(job: Job, fact: Fact) -> Job:
    """Give the job as it is after one more fact."""
    changed = _changed(job, fact)
    return changed if fact.at <= job.at else replace(changed, at=fact.at)


def _changed(job: Job, fact: Fact) -> Job:  # noqa: C901 - one match, every fact
    match fact:
        case JobStarted():
            return replace(
                job,
                id=fact.job,
                ambient=fact.ambient,
                units=fact.units,
                confirmed=KNOWN_AFTER if fact.known_voice else 0,
            )
        case QuestionAsked():
            asked = Asked(
                key=fact.key, expects=fact.expects, tries=fact.tries, heard_at=fact.at
            )
            return replace(job, asked=asked)
        case SilenceNoticed():
            return _silence(job, fact)
        case Explained():
            return _listened(job, fact.at)
        case AnswerDoubted():
            pending = Pending(
                key=fact.key,
                answer=fact.answer,
                words=fact.words,
                doubt=fact.doubt,
                confirms=fact.confirms,
                half=fact.half,
            )
            return _listened(replace(job, pending=pending), fact.at)
        case AnswerRefused(reason="unclear"):
            return _listened(job, fact.at)
        case AnswerWeighed():
            return _weighed(job, fact)
        case SuctionWatched():
            shown = Seen(at=fact.at, pa=fact.pressure.si, live=True)
            return replace(job, watched=(*job.watched, shown)[-WATCHED_KEPT:])
        case ValvePassed():
            return replace(
                job,
                passing=True,
                waiting=None,
                settled=False,
                final_settled=False,
                asked=None,
            )
        case AnswerDenied():
            job = replace(_denied(job, fact.key), pending=None)
            return _listened(job, fact.at)
        case AnswerRefused():
            return _listened(replace(job, pending=None), fact.at)
        case AnswerAccepted():
            return _answered(job, fact.key, fact.answer)
        case StepAnswered():
            return _step(job, fact)
        case WentBack():
            return _back(job, fact.key)
        case MethodChosen():
            return replace(job, method=fact, asked=None)
        case OpenCalled() | OpenReported() | OpenReadingSeen() | HandAdvised():
            return _opened(job, fact)
        case CloseCalled() | CloseRepeated() | CloseReported():
            return _closed(job, fact)
        case WaitStarted():
            waiting = Waiting(purpose=fact.purpose, until=fact.at + fact.seconds)
            return replace(job, waiting=waiting, asked=None)
        case WaitEnded():
            return _waited(job, fact)
        case RoundJudged():
            return _judged(job, fact)
        case Halted():
            return replace(
                job, halted=fact.reason, pending=None, asked=None, waiting=None
            )
        case Continued():
            return _continued(job)
        case ChargingEnded():
            return replace(
                job,
                charging_ended=fact.outcome,
                halted=None,
                asked=None,
                waiting=None,
                order=(),
            )
        case JobFinished():
            return replace(job, outcome=fact.outcome, asked=None, pending=None)
        case DeviceWentMissing():
            return replace(job, missing=job.missing | {fact.device})
        case DeviceCameBack():
            return replace(job, missing=job.missing - {fact.device})
        case SensorDisputed():
            disputed = {**job.disputed, fact.reading: fact.sensed}
            return replace(job, disputed=MappingProxyType(disputed))
        case SensorSettled():
            return _settled(job, fact)
        case DialTurned():
            dial = Dial(
                key=fact.key, page=fact.page, cursor=fact.cursor, entered=fact.entered
            )
            return _listened(replace(job, dial=dial), fact.at)
        case PowerReturned():
            return _interrupted(replace(job, disturbed_at=fact.at))
        case _:
            assert_never(fact)


def _settled(job: Job, fact: SensorSettled) -> Job:
    left = {k: v for k, v in job.disputed.items() if k != fact.reading}
    out = job.disbelieved - {fact.reading}
    if not fact.believed:
        out |= {fact.reading}
    return replace(job, disputed=MappingProxyType(left), disbelieved=out)


def _listened(job: Job, at: float) -> Job:
    if job.asked is None:
        return job
    return replace(job, asked=replace(job.asked, heard_at=at, silences=0))


def _weighed(job: Job, fact: AnswerWeighed) -> Job:
    before = _evidence(job, fact.key)
    if job.asked is not None and job.asked.tries > KEYS_FROM:
        # A reading moves while it is said again and again: what was half heard of
        # another value must not stand against this one for ever.
        before = Weighed(key=fact.key, denied=before.denied)
    weighed = replace(
        before,
        candidates=combined(before.candidates, fact.candidates),
        rest=before.rest + fact.rest,
    )
    return _listened(replace(job, weighed=weighed), fact.at)


def _denied(job: Job, key: str) -> Job:
    if job.pending is None or job.pending.key != key:
        return job
    counted = isinstance(job.pending.answer, NumberAnswer)
    # What led to it was wrong, so it is not carried on. The gauge may come to show the
    # denied value yet: only the latest is held against it.
    weighed = Weighed(key=key, denied=(job.pending.answer,))
    return replace(job, weighed=weighed, denied=job.denied + counted)


def _evidence(job: Job, key: str) -> Weighed:
    """Give what was heard so far for a question; older questions are forgotten."""
    if job.weighed is not None and job.weighed.key == key:
        return job.weighed
    return Weighed(key=key)


def _silence(job: Job, fact: SilenceNoticed) -> Job:
    if job.asked is None:
        return job
    return replace(job, asked=replace(job.asked, heard_at=fact.at, silences=fact.times))


def _answered(job: Job, key: str, answer: Answer) -> Job:
    answers = MappingProxyType({**job.answers, key: answer})
    read_back = isinstance(answer, NumberAnswer) and job.pending is not None
    return replace(
        job,
        confirmed=job.confirmed + read_back,
        answers=answers,
        order=(*job.order, key),
        pending=None,
        asked=None,
        weighed=None,
    )


def _step(job: Job, fact: StepAnswered) -> Job:
    if fact.result in ("fix", "stop"):
        return _listened(replace(job, pending=None), fact.at)
    if fact.key.startswith("connect/"):
        job = replace(job, hoses=True)
    elif fact.key == HOSES_OFF:
        job = replace(job, hoses=False)
    if fact.result == "noted":
        job = replace(job, notes=(*job.notes, fact.key))
    return _answered(job, fact.key, OptionAnswer(option=fact.answer))


def _judged(job: Job, fact: RoundJudged) -> Job:
    settled = job.settled and not (
        fact.verdict == "again" and fact.finding in NOT_SETTLED
    )
    return replace(
        job,
        rounds=(*job.rounds, fact),
        judged=(len(job.pulses), job.interruptions),
        settled=settled,
        asked=None,
    )


NOT_SETTLED = frozenset(
    {
        "second-look",
        "still-moving",
        "near-target",
        "not-fallen",
        "flood-back",
        "creep",
    }
)
"""Findings after which the unit is given more time before it is read again."""


def _unjudged(job: Job, key: str) -> Job:
    """Take back the last judgement, if an answer of its own round is taken back."""
    last = len(job.rounds) - 1
    number = key.rpartition("@")[2].rstrip("bc")
    if last < 0 or "@" not in key or number != str(last):
        return job
    return replace(job, rounds=job.rounds[:-1], judged=(-1, -1), settled=True)


def _continued(job: Job) -> Job:
    """Go on; what the refusal rested on has been put right, so it is asked again."""
    anew = _REFUSED_FOR.get(job.halted or "", ())
    return replace(
        job,
        answers=MappingProxyType(
            {key: answer for key, answer in job.answers.items() if key not in anew}
        ),
        order=tuple(key for key in job.order if key not in anew),
        halted=None,
        asked=None,
    )


_REFUSED_FOR: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "method:leak": ("leak-state",),
        "method:no-charge": ("factory-charge",),
        "method:no-scale": ("scale",),
        "method:no-target": ("outdoor-temperature", "return-wet-bulb"),
        "method:no-target-subcooling": ("target-subcooling",),
        "method:run-first": ("unit-state",),
        "method:stop-first": ("unit-state",),
    }
)
"""Refusals of a method to the answers that can change before the job goes on."""


def _back(job: Job, key: str) -> Job:
    job = _unjudged(job, key)
    answers = {k: v for k, v in job.answers.items() if k != key}
    return replace(
        job,
        answers=MappingProxyType(answers),
        order=tuple(k for k in job.order if k != key),
        notes=tuple(k for k in job.notes if k != key),
        hoses=job.hoses or key == HOSES_OFF,
        method=None if key in _BEFORE_METHOD else job.method,
        halted=None,
        pending=None,
        asked=None,
        waiting=None,
        weighed=None,
    )


_BEFORE_METHOD = frozenset(
    {
        "unit-refrigerant",
        "metering",
        "unit-state",
        "critical-charge",
        "factory-charge",
        "charge-adder",
        "target-subcooling",
        "cylinder-refrigerant",
        "dip-tube",
        "restrictor",
        "scale",
        "leak-state",
        "loss",
        "outdoor-temperature",
        "return-wet-bulb",
    }
)
"""Answers that the method rests on: taking one back takes the method back."""


def _opened(
    job: Job, fact: OpenCalled | OpenReported | OpenReadingSeen | HandAdvised
) -> Job:
    valve = job.valve
    match fact:
        case OpenCalled():
            opening = Opening(
                number=fact.opening,
                called_at=fact.at,
                planned_s=fact.planned_s,
                limit_s=fact.limit_s,
                silence_s=fact.silence_s,
                base=fact.base,
                ceiling=fact.ceiling,
                stop_weight=fact.stop_weight,
                hint=fact.hint,
                hard=fact.hard,
                lead_s=fact.lead_s,
                heard_at=fact.at + REACTION_S,
            )
            return replace(
                job,
                valve=opening,
                settled=False,
                final_settled=False,
                watched=(),
                passing=False,
                order=(),
                asked=None,
            )
        case OpenReported():
            if not isinstance(valve, Opening):
                return job
            opened = Open(
                plan=valve,
                opened_at=fact.at,
                heard_at=fact.at,
                peak=valve.peak,
                last=valve.last,
                seen=valve.seen,
                advised=valve.advised,
            )
            return replace(job, valve=opened)
        case OpenReadingSeen():
            return _reading(job, fact)
        case HandAdvised():
            if not isinstance(valve, Opening | Open):
                return job
            told = replace(valve, advised=(*valve.advised, fact.advice))
            return replace(job, valve=told)


def _reading(job: Job, fact: OpenReadingSeen) -> Job:
    valve = job.valve
    if isinstance(valve, Closing) and fact.by == "sensor":
        # How far it still went while the hand was closing; no more than that.
        return replace(
            job, valve=replace(valve, peak=_higher(valve.peak, fact.reading))
        )
    if not isinstance(valve, Opening | Open):
        return job
    peak = _higher(valve.peak, fact.reading)
    pressures = valve.seen
    if fact.reading.of == "gauge-pressure":
        new = Seen(at=fact.at, pa=fact.reading.si, live=fact.by == "sensor")
        pressures = (*pressures, new)[-SEEN_KEPT:]
    seen = replace(
        valve, heard_at=fact.at, peak=peak, last=fact.reading, seen=pressures
    )
    return replace(job, valve=seen)


WATCHED_KEPT = 64
"""So much of what a sensor showed with the valve closed is kept."""
SEEN_KEPT = 24
"""So many of the latest pressures of an opening are kept."""


def _higher(peak: Amount | None, reading: Amount) -> Amount | None:
    if reading.of != "gauge-pressure":
        return peak
    return reading if peak is None or reading.si > peak.si else peak


def _closed(job: Job, fact: CloseCalled | CloseRepeated | CloseReported) -> Job:
    valve = job.valve
    match fact:
        case CloseCalled():
            closing = Closing(
                number=fact.opening,
                called_at=fact.at,
                repeated_at=fact.at,
                repeats=0,
                reason=fact.reason,
                open_s=_open_for(job, fact.at),
                base=_base(job),
                peak=valve.peak
                if isinstance(valve, Opening | Open | Closing)
                else None,
                open_called_at=_open_called_at(job),
                opened_at=_opened_at(job),
                hint=_hint(job),
                seen=() if isinstance(valve, Closed) else valve.seen,
                advised=() if isinstance(valve, Closed) else valve.advised,
            )
            return replace(job, valve=closing, pending=None, asked=None)
        case CloseRepeated():
            if not isinstance(valve, Closing):
                return job
            again = replace(valve, repeated_at=fact.at, repeats=fact.times)
            return replace(job, valve=again)
        case CloseReported():
            return _shut(job, fact)


def _open_for(job: Job, at: float) -> float:
    match job.valve:
        case Open(opened_at=opened_at):
            return at - opened_at
        case Opening(called_at=called_at):
            return at - called_at
        case Closing(open_s=open_s):
            return open_s
        case _:
            return 0.0


def _open_called_at(job: Job) -> float | None:
    match job.valve:
        case Open(plan=plan):
            return plan.called_at
        case Opening(called_at=called_at):
            return called_at
        case Closing(open_called_at=called_at):
            return called_at
        case _:
            return None


def _opened_at(job: Job) -> float | None:
    match job.valve:
        case Open(opened_at=opened_at) | Closing(opened_at=opened_at):
            return opened_at
        case _:
            return None


def _hint(job: Job) -> Hint:
    match job.valve:
        case Open(plan=plan):
            return plan.hint
        case Opening(hint=hint) | Closing(hint=hint):
            return hint
        case _:
            return "same"


def _base(job: Job) -> Amount | None:
    match job.valve:
        case Open(plan=plan):
            return plan.base
        case Opening(base=base) | Closing(base=base):
            return base
        case _:
            return None


def _shut(job: Job, fact: CloseReported) -> Job:
    valve = job.valve
    if not isinstance(valve, Closing):
        return job
    job = replace(
        job,
        valve=Closed(),
        asked=None,
        pending=None,
        disturbed_at=fact.at,
        watched=(),
    )
    pulses = job.pulses
    if valve.number <= len(pulses):
        # No opening of ours: whatever was open, the readings so far are old.
        return _stale(job)
    done = Pulse(
        number=valve.number,
        ended_at=fact.at,
        open_s=valve.open_s,
        base=valve.base,
        peak=valve.peak,
        reason=valve.reason,
        open_called_at=valve.open_called_at,
        opened_at=valve.opened_at,
        close_called_at=valve.called_at,
        repeats=valve.repeats,
        hint=valve.hint,
        seen=valve.seen,
        advised=valve.advised,
    )
    return replace(job, pulses=(*pulses, done))


def _waited(job: Job, fact: WaitEnded) -> Job:
    return replace(
        job,
        waiting=None,
        settled=True,
        final_settled=job.final_settled or fact.purpose == "final",
        asked=None,
    )


def _interrupted(job: Job) -> Job:
    """Forget what a restart cannot know: readings under way, and lost devices."""
    return replace(_stale(job), asked=None, pending=None, missing=frozenset())


def _stale(job: Job) -> Job:
    """Forget readings that a disturbance made old: settling, and the round under way."""
    number = f"@{len(job.rounds)}"
    stale = (number, number + "b", number + "c", f"#{len(job.pulses) + 1}")
    answers = {k: v for k, v in job.answers.items() if not k.endswith(stale)}
    return replace(
        job,
        answers=MappingProxyType(answers),
        order=tuple(k for k in job.order if not k.endswith(stale)),
        waiting=None,
        settled=False,
        final_settled=False,
        interruptions=job.interruptions + 1,
        watched=(),
    )

"""Everything that can have happened in a job: the journal's vocabulary.

Facts are in the past tense and are never changed. A job is what its facts fold to.
"""

from dataclasses import dataclass
from typing import Literal, get_args

from companion.job.amounts import Amount

Spoken = Literal["voice", "button", "typed", "sensor", "timer"]
MethodId = Literal["weigh-in", "liquid-pulses", "liquid-restrictor", "vapor"]
CloseReason = Literal[
    "planned",
    "limit",
    "pressure",
    "saturation",
    "weight",
    "asked",
    "reported",
    "noise",
    "silence",
    "device",
    "restart",
    "fault",
    "unsure",
    "ahead",
    "no-rise",
]
Hint = Literal["slow", "same", "less", "more", "double"]
Advice = Literal["ease-off", "open-more"]
WaitPurpose = Literal["settle", "final"]
RoundKind = Literal["baseline", "check", "final"]
StepResult = Literal["passed", "noted", "fix", "stop"]
Verdict = Literal["add", "done", "over", "stop", "unverified", "again"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberAnswer:
    """A number as an answer.

    ``error`` is the half-width of a sensor's error band, in the amount's own SI unit;
    absent where a person read an instrument.
    """

    amount: Amount
    error: float | None = None
    kind: Literal["number"] = "number"


@dataclass(frozen=True, slots=True, kw_only=True)
class NameAnswer:
    """A refrigerant designation as an answer."""

    designation: str
    kind: Literal["name"] = "name"


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionAnswer:
    """An option, ``yes``, ``no``, ``done``, ``ready`` or ``unknown`` as an answer."""

    option: str
    kind: Literal["option"] = "option"


Answer = NumberAnswer | NameAnswer | OptionAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A value that may have been said.

    ``weight`` is the natural logarithm of how much more often such evidence comes with
    the right value than with none.
    """

    answer: Answer
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobStarted:
    """A job began; the settings it runs under are kept with it."""

    at: float
    job: str
    ambient: Amount
    units: Literal["us", "si"]
    known_voice: bool = False
    kind: Literal["job-started"] = "job-started"


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionAsked:
    """Something was put to the technician; ``tries`` counts the askings."""

    at: float
    key: str
    expects: str
    tries: int
    kind: Literal["question-asked"] = "question-asked"


@dataclass(frozen=True, slots=True, kw_only=True)
class SilenceNoticed:
    """No answer came for a while; ``times`` in a row."""

    at: float
    key: str
    times: int
    kind: Literal["silence-noticed"] = "silence-noticed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """The technician asked for something to be said: again, why, status or help."""

    at: float
    what: Literal["again", "why", "status", "help"]
    kind: Literal["explained"] = "explained"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerDoubted:
    """An answer was heard and read back; it waits for a yes, or for ``confirms`` of them.

    ``half`` is true where a yes was heard, but not surely: one more is waited for.
    """

    at: float
    key: str
    answer: Answer
    words: str
    doubt: str
    confirms: int = 1
    half: bool = False
    kind: Literal["answer-doubted"] = "answer-doubted"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerDenied:
    """The technician said that what was read back is wrong."""

    at: float
    key: str
    kind: Literal["answer-denied"] = "answer-denied"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerAccepted:
    """An answer counts from now on."""

    at: float
    key: str
    answer: Answer
    words: str
    by: Spoken
    kind: Literal["answer-accepted"] = "answer-accepted"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerRefused:
    """An answer cannot count; the reason says why. The question stays."""

    at: float
    key: str
    reason: str
    words: str
    kind: Literal["answer-refused"] = "answer-refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAnswered:
    """A checklist step was answered; ``result`` says whether it lets the job go on."""

    at: float
    key: str
    revision: int
    answer: Literal["done", "yes", "no", "unknown"]
    result: StepResult
    kind: Literal["step-answered"] = "step-answered"


@dataclass(frozen=True, slots=True, kw_only=True)
class WentBack:
    """The latest answer was taken back and its question stands again."""

    at: float
    key: str
    kind: Literal["went-back"] = "went-back"


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodChosen:
    """The charging method was decided from the answers so far."""

    at: float
    method: MethodId
    draw: Literal["liquid", "vapor"]
    cylinder: Literal["inverted", "upright"]
    stop_by: Literal["superheat", "subcooling", "weight"]
    reason: str
    source: str
    target: Amount | None
    kind: Literal["method-chosen"] = "method-chosen"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCalled:
    """The word to open was given. From here the valve counts as open.

    Attributes
    ----------
    opening
        The number of the opening, from 1.
    planned_s, limit_s
        When the close call is due, counted from the opening, and the latest moment.
    base, ceiling
        Suction pressure at the start and the highest allowed (gauge); absent where
        the unit is off.
    stop_weight
        Cylinder weight at which to close, where the scale decides.
    hint
        How far to open, against the opening before; "slow" is a slow turn that stops
        when the needle has moved.
    hard
        Suction pressure that is to be closed ahead of; absent where only ``ceiling``
        counts.
    lead_s
        How long the hand is taken to need after the close call.
    """

    at: float
    opening: int
    planned_s: float
    limit_s: float
    silence_s: float
    base: Amount | None
    ceiling: Amount | None
    stop_weight: Amount | None
    hint: Hint = "same"
    hard: Amount | None = None
    lead_s: float = 2.5
    kind: Literal["open-called"] = "open-called"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenReported:
    """The technician said that the valve is open."""

    at: float
    opening: int
    kind: Literal["open-reported"] = "open-reported"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenReadingSeen:
    """A pressure or weight was called out, or measured, with the valve open."""

    at: float
    opening: int
    reading: Amount
    by: Spoken
    kind: Literal["open-reading-seen"] = "open-reading-seen"


@dataclass(frozen=True, slots=True, kw_only=True)
class HandAdvised:
    """The technician was told to open a little more or less, the valve being open."""

    at: float
    opening: int
    advice: Advice
    kind: Literal["hand-advised"] = "hand-advised"


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseCalled:
    """The call to close was given for the first time in this opening."""

    at: float
    opening: int
    reason: CloseReason
    kind: Literal["close-called"] = "close-called"


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseRepeated:
    """The call to close was repeated, because no "closed" was heard."""

    at: float
    opening: int
    times: int
    kind: Literal["close-repeated"] = "close-repeated"


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseReported:
    """The technician said, or pressed, that the valve is closed."""

    at: float
    opening: int
    by: Spoken
    kind: Literal["close-reported"] = "close-reported"


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitStarted:
    """The unit is given time to settle."""

    at: float
    purpose: WaitPurpose
    seconds: float
    kind: Literal["wait-started"] = "wait-started"


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitEnded:
    """The settling time is over."""

    at: float
    purpose: WaitPurpose
    kind: Literal["wait-ended"] = "wait-ended"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundJudged:
    """A round of readings was judged against the target.

    The verdict "again" means that it is read once more before anything is decided.
    Superheat, subcooling and target are differences [K]; one of the first two is
    absent where its readings were not taken.
    """

    at: float
    round: int
    purpose: RoundKind
    superheat: Amount | None
    subcooling: Amount | None
    uncertainty: Amount | None
    target: Amount | None
    verdict: Verdict
    finding: str
    reason: str
    kind: Literal["round-judged"] = "round-judged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Halted:
    """Work stands still until the technician says how it goes on."""

    at: float
    reason: str
    kind: Literal["halted"] = "halted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Continued:
    """The technician said to go on."""

    at: float
    kind: Literal["continued"] = "continued"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingEnded:
    """No more refrigerant is added in this job; closing up follows."""

    at: float
    outcome: str
    kind: Literal["charging-ended"] = "charging-ended"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFinished:
    """The job is closed; nothing follows."""

    at: float
    outcome: str
    added: Amount | None
    kind: Literal["job-finished"] = "job-finished"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceWentMissing:
    """A device was lost."""

    at: float
    device: str
    reason: str
    kind: Literal["device-went-missing"] = "device-went-missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceCameBack:
    """A lost device is back."""

    at: float
    device: str
    kind: Literal["device-came-back"] = "device-came-back"


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorDisputed:
    """A spoken reading differs from its sensor's; which is right has to be settled."""

    at: float
    reading: str
    said: Amount
    sensed: Amount
    kind: Literal["sensor-disputed"] = "sensor-disputed"


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorSettled:
    """The technician let a disputed sensor count again, or not for this job."""

    at: float
    reading: str
    believed: bool
    kind: Literal["sensor-settled"] = "sensor-settled"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerWeighed:
    """An utterance gave evidence for values, without which none of them counts.

    ``rest`` is the weight of "none of these".
    """

    at: float
    key: str
    candidates: tuple[Candidate, ...]
    rest: float
    words: str
    kind: Literal["answer-weighed"] = "answer-weighed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerReturned:
    """The program started again in the middle of the job."""

    at: float
    kind: Literal["power-returned"] = "power-returned"


@dataclass(frozen=True, slots=True, kw_only=True)
class DialTurned:
    """A press moved the dial for the item of this key; see :mod:`companion.job.dial`."""

    at: float
    key: str
    page: Literal["menu", "digits", "off"]
    cursor: int
    entered: str
    kind: Literal["dial-turned"] = "dial-turned"


@dataclass(frozen=True, slots=True, kw_only=True)
class SuctionWatched:
    """A sensor showed this suction with the valve counted as closed."""

    at: float
    pressure: Amount
    kind: Literal["suction-watched"] = "suction-watched"


@dataclass(frozen=True, slots=True, kw_only=True)
class ValvePassed:
    """Suction climbed while the charging valve counted as closed: it may pass."""

    at: float
    kind: Literal["valve-passed"] = "valve-passed"


Fact = (
    JobStarted
    | QuestionAsked
    | SilenceNoticed
    | Explained
    | AnswerDoubted
    | AnswerDenied
    | AnswerAccepted
    | AnswerRefused
    | StepAnswered
    | WentBack
    | MethodChosen
    | OpenCalled
    | OpenReported
    | OpenReadingSeen
    | HandAdvised
    | CloseCalled
    | CloseRepeated
    | CloseReported
    | WaitStarted
    | WaitEnded
    | RoundJudged
    | Halted
    | Continued
    | ChargingEnded
    | JobFinished
    | DeviceWentMissing
    | DeviceCameBack
    | SensorDisputed
    | SensorSettled
    | PowerReturned
    | DialTurned
    | AnswerWeighed
    | SuctionWatched
    | ValvePassed
)

FACT_TYPES: tuple[type, ...] = get_args(Fact)
"""Every kind of fact, for writing, reading and describing them."""

"""The job as it stands: plain records, no logic.

Everything here is the fold of the facts so far (see ``evolve``). What to do next is
worked out from it each time (see ``plan``), so a job that was cut off anywhere goes on
from its facts alone.
"""

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from companion.job.amounts import Amount
from companion.job.dial import Dial
from companion.job.facts import (
    Advice,
    Answer,
    Candidate,
    CloseReason,
    Hint,
    MethodChosen,
    RoundJudged,
    WaitPurpose,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was put to the technician last.

    ``heard_at`` is when they were last heard or the question was put, whichever is
    later: silence counts from there.
    """

    key: str
    expects: str
    tries: int
    heard_at: float
    silences: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """An answer read back and waiting for a yes, or for ``confirms`` of them.

    ``half`` is true where one was heard, but not surely.
    """

    key: str
    answer: Answer
    words: str
    doubt: str
    confirms: int = 1
    half: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """What was heard so far for the question that stands; see ``trust``."""

    key: str
    candidates: tuple[Candidate, ...] = ()
    rest: float = 0.0
    denied: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """The charging valve is closed, by the technician's own word."""

    kind: Literal["closed"] = "closed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One pressure seen with the valve open [Pa gauge], and when it was heard."""

    at: float
    pa: float
    live: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """The word to open was given; nobody knows yet whether the valve is open.

    Also carries what the opening was planned with; see ``facts.OpenCalled``. ``peak``
    is the highest pressure seen, ``last`` the latest reading, at ``heard_at``;
    ``seen`` are the latest pressures, oldest first, ``advised`` what the hand was told.
    """

    number: int
    called_at: float
    planned_s: float
    limit_s: float
    silence_s: float
    base: Amount | None
    ceiling: Amount | None
    stop_weight: Amount | None
    heard_at: float
    peak: Amount | None = None
    last: Amount | None = None
    hint: Hint = "same"
    hard: Amount | None = None
    lead_s: float = 2.5
    seen: tuple[Seen, ...] = ()
    advised: tuple[Advice, ...] = ()
    kind: Literal["opening"] = "opening"


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """The technician said that the valve is open."""

    plan: Opening
    opened_at: float
    heard_at: float
    peak: Amount | None = None
    last: Amount | None = None
    seen: tuple[Seen, ...] = ()
    advised: tuple[Advice, ...] = ()
    kind: Literal["open"] = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The call to close was given; only the word or button "closed" ends this."""

    number: int
    called_at: float
    repeated_at: float
    repeats: int
    reason: CloseReason
    open_s: float
    base: Amount | None
    peak: Amount | None
    open_called_at: float | None = None
    opened_at: float | None = None
    hint: Hint = "same"
    seen: tuple[Seen, ...] = ()
    advised: tuple[Advice, ...] = ()
    kind: Literal["closing"] = "closing"


Valve = Closed | Opening | Open | Closing


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """One opening that is over.

    ``open_s`` is how long the valve counted as open before the close call; ``base``
    and ``peak`` are suction at the start and at its highest. The moments of the word to
    open, of "opened" (if it was heard) and of the first close call are kept to learn
    the hand's delay from; ``repeats`` close calls were not answered.
    """

    number: int
    ended_at: float
    open_s: float
    base: Amount | None
    peak: Amount | None
    reason: CloseReason
    open_called_at: float | None = None
    opened_at: float | None = None
    close_called_at: float | None = None
    repeats: int = 0
    hint: Hint = "same"
    seen: tuple[Seen, ...] = ()
    advised: tuple[Advice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """The unit settles until a moment."""

    purpose: WaitPurpose
    until: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One charging job.

    Attributes
    ----------
    answers
        What counts, by key; checklist steps as ``list/step`` with an option answer.
    order
        Keys answered since the last point of no return, for "go back".
    confirmed, denied
        How many values that were read back got a yes, and how many a no.
    judged
        Openings and interruptions so far when the latest round was judged.
    hoses
        True from the first step of connecting until the hoses are off again.
    settled
        True when the unit has settled since the last opening or interruption.
    final_settled
        True when the long wait before the final readings is over.
    disputed
        What the sensor showed, by reading, where technician and sensor differ.
    disbelieved
        Readings whose sensor does not count in this job.
    watched
        What a sensor showed of suction since the valve was last closed.
    passing
        True where suction climbed on with the valve closed since the last opening.
    disturbed_at
        When the valve was last closed, or the job last interrupted.
    """

    id: str = ""
    at: float = 0.0
    ambient: Amount | None = None
    units: Literal["us", "si"] = "us"
    answers: MappingProxyType[str, Answer] = field(
        default_factory=lambda: MappingProxyType({})
    )
    order: tuple[str, ...] = ()
    asked: Asked | None = None
    pending: Pending | None = None
    method: MethodChosen | None = None
    valve: Valve = field(default_factory=Closed)
    pulses: tuple[Pulse, ...] = ()
    rounds: tuple[RoundJudged, ...] = ()
    judged: tuple[int, int] = (0, 0)
    waiting: Waiting | None = None
    hoses: bool = False
    settled: bool = False
    final_settled: bool = False
    notes: tuple[str, ...] = ()
    halted: str | None = None
    charging_ended: str | None = None
    outcome: str | None = None
    missing: frozenset[str] = frozenset()
    interruptions: int = 0
    disputed: MappingProxyType[str, Amount] = field(
        default_factory=lambda: MappingProxyType({})
    )
    disbelieved: frozenset[str] = frozenset()
    dial: Dial | None = None
    disturbed_at: float = 0.0
    weighed: Weighed | None = None
    watched: tuple[Seen, ...] = ()
    passing: bool = False
    confirmed: int = 0
    denied: int = 0

    @property
    def started(self) -> bool:
        """True once the job has begun."""
        return bool(self.id)

    @property
    def finished(self) -> bool:
        """True once the job is closed."""
        return self.outcome is not None

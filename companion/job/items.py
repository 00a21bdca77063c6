"""What can come next in a job: a closed list.

An item either needs the technician (ask, step, ready, halt, pause, attend) or is done
by the engine at once (decide, judge, wait, end, close the job).
"""

from dataclasses import dataclass
from typing import Literal

from checklists.model import Step
from companion.job.facts import OpenCalled, RoundKind, WaitPurpose
from companion.job.questions import Question
from companion.job.state import Waiting


@dataclass(frozen=True, slots=True, kw_only=True)
class Begin:
    """The job has not begun."""

    kind: Literal["begin"] = "begin"


@dataclass(frozen=True, slots=True, kw_only=True)
class AskQuestion:
    """Put a question; ``key`` is the answer's full key."""

    question: Question
    key: str
    kind: Literal["ask"] = "ask"


@dataclass(frozen=True, slots=True, kw_only=True)
class AskStep:
    """Put a checklist step."""

    step: Step
    key: str
    revision: int
    kind: Literal["step"] = "step"


@dataclass(frozen=True, slots=True, kw_only=True)
class DecideMethod:
    """Decide the charging method."""

    kind: Literal["decide-method"] = "decide-method"


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgeRound:
    """Judge the readings just taken."""

    purpose: RoundKind
    kind: Literal["judge"] = "judge"


@dataclass(frozen=True, slots=True, kw_only=True)
class AskReady:
    """Ask whether the technician is ready for an opening, planned as given."""

    plan: OpenCalled
    key: str
    kind: Literal["ready"] = "ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class StartWait:
    """Let the unit settle."""

    purpose: WaitPurpose
    seconds: float
    kind: Literal["start-wait"] = "start-wait"


@dataclass(frozen=True, slots=True, kw_only=True)
class EndCharging:
    """Stop adding; closing up follows."""

    outcome: str
    kind: Literal["end-charging"] = "end-charging"


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishJob:
    """Close the job."""

    outcome: str
    kind: Literal["finish-job"] = "finish-job"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """The unit is settling."""

    waiting: Waiting
    kind: Literal["pause"] = "pause"


@dataclass(frozen=True, slots=True, kw_only=True)
class Halt:
    """Work stands still until the technician says how it goes on."""

    reason: str
    kind: Literal["halt"] = "halt"


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocked:
    """Nothing may be opened while this device is missing."""

    device: str
    kind: Literal["blocked"] = "blocked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Attend:
    """The valve is open, or not yet known to be closed: nothing else happens."""

    kind: Literal["attend"] = "attend"


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeSafe:
    """The valve is not fully shut: call for it to be closed."""

    kind: Literal["make-safe"] = "make-safe"


@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """The job is closed."""

    kind: Literal["over"] = "over"


Item = (
    Begin
    | AskQuestion
    | AskStep
    | DecideMethod
    | JudgeRound
    | AskReady
    | StartWait
    | EndCharging
    | FinishJob
    | Pause
    | Halt
    | Blocked
    | Attend
    | MakeSafe
    | Over
)

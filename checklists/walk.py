"""A walk through the steps of a checklist: where it stands, what an answer means.

Pure: the same steps and answers give the same walk. Two rules keep to the safe
side. A step is left out only where the job is known to differ from what the step
is for; where nothing is known, it is asked. And "don't know" never counts as the
good answer.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, assert_never

from checklists.model import CONTEXT, AskStep, Checklist, Condition, DoStep, Step

Answer: TypeAlias = Literal["done", "yes", "no", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """The step is settled and the walk goes on."""

    kind: Literal["passed"] = "passed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """Do the remedy; then the same step is asked again."""

    remedy: str
    kind: Literal["fix"] = "fix"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """The job stops here; the remedy says what to do."""

    remedy: str
    kind: Literal["stop"] = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """The walk goes on, and this belongs in the record."""

    text: str
    kind: Literal["noted"] = "noted"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotAnAnswer:
    """The step is answered in other words, which are given."""

    expected: tuple[Answer, ...]
    kind: Literal["not-an-answer"] = "not-an-answer"


Judgement: TypeAlias = Passed | Fix | Stop | Noted | NotAnAnswer


def _applies(conditions: tuple[Condition, ...], context: Mapping[str, str]) -> bool:
    return all(
        one.key not in context or context[one.key] in one.allowed for one in conditions
    )


def _check_context(context: Mapping[str, str]) -> None:
    for key, value in context.items():
        if key not in CONTEXT:
            raise ValueError(
                f"the context key '{key}' is not known; known: {', '.join(CONTEXT)}"
            )
        if value not in CONTEXT[key]:
            raise ValueError(f"'{value}' is no {key}; known: {', '.join(CONTEXT[key])}")


def steps_for(checklist: Checklist, context: Mapping[str, str]) -> tuple[Step, ...]:
    """Give the steps that apply to a job; none if the whole list does not.

    A condition whose key is missing from ``context`` counts as met: leave a key
    out rather than guess it.

    Raises
    ------
    ValueError
        If the context has a key or value that is not in
        :data:`checklists.model.CONTEXT`: a slip there could hide a caution.
    """
    _check_context(context)
    if not _applies(checklist.applies, context):
        return ()
    return tuple(step for step in checklist.steps if _applies(step.applies, context))


def _judge_ask(step: AskStep, answer: Literal["yes", "no", "unknown"]) -> Judgement:
    if answer == step.good:
        return Passed()
    match step.otherwise:
        case "fix":
            return Fix(remedy=step.remedy)
        case "stop":
            return Stop(remedy=step.remedy)
        case "note":
            return Noted(text=step.remedy)
        case _:
            assert_never(step.otherwise)


def judge(step: Step, answer: Answer) -> Judgement:
    """Say what an answer to a step means; "unknown" is never the good answer."""
    match step, answer:
        case DoStep(), "done":
            return Passed()
        case DoStep(), _:
            return NotAnAnswer(expected=("done",))
        case AskStep(), "done":
            return NotAnAnswer(expected=("yes", "no"))
        case AskStep(), _:
            return _judge_ask(step, answer)
        case _:
            assert_never(step)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """The steps of one list and the answers that settled them, in order.

    An answer that means :class:`Fix` or :class:`NotAnAnswer` settles nothing and
    is not kept. After :class:`Stop` the walk has no current step and is never
    complete; only :meth:`back` reopens it, for an answer that was misheard.

    Raises
    ------
    ValueError
        If two steps share an id, or the answers do not fit the steps.
    """

    steps: tuple[Step, ...]
    answers: tuple[Answer, ...] = ()

    def __post_init__(self) -> None:
        ids = [step.id for step in self.steps]
        if len(set(ids)) < len(ids):
            raise ValueError(f"two steps of a walk share an id: {', '.join(ids)}")
        judgements = self._judgements()
        if len(self.answers) > len(self.steps) or not all(
            isinstance(last, Passed | Noted) for last in judgements[:-1]
        ):
            raise ValueError("a walk has answers that do not fit its steps")
        if judgements and isinstance(judgements[-1], Fix | NotAnAnswer):
            raise ValueError("a walk keeps only answers that settle a step")

    def _judgements(self) -> tuple[Judgement, ...]:
        return tuple(map(judge, self.steps, self.answers))

    @property
    def stopped(self) -> Stop | None:
        """The stop that ended this walk, if one did."""
        last = self._judgements()[-1:]
        return last[0] if last and isinstance(last[0], Stop) else None

    @property
    def current(self) -> Step | None:
        """The step to ask now; None when complete or stopped."""
        if self.stopped is not None or self.complete:
            return None
        return self.steps[len(self.answers)]

    @property
    def complete(self) -> bool:
        """Whether every step is settled and none stopped the job."""
        return len(self.answers) == len(self.steps) and self.stopped is None

    @property
    def progress(self) -> tuple[int, int]:
        """How many steps are settled, of how many; a stopping step is not settled."""
        settled = len(self.answers) - (self.stopped is not None)
        return settled, len(self.steps)

    @property
    def noted(self) -> tuple[tuple[Step, Noted], ...]:
        """The steps that went on with a note, for the record."""
        pairs = zip(self.steps, self._judgements(), strict=False)
        return tuple((step, said) for step, said in pairs if isinstance(said, Noted))

    def answered(self, step_id: str, answer: Answer) -> "Walk":
        """Give the walk after an answer to its current step.

        Raises
        ------
        ValueError
            If ``step_id`` is not the current step.
        """
        step = self.current
        if step is None or step.id != step_id:
            now = "no step is open" if step is None else f"the open step is '{step.id}'"
            raise ValueError(f"'{step_id}' was answered, but {now}")
        said = judge(step, answer)
        match said:
            case Passed() | Noted() | Stop():
                return replace(self, answers=(*self.answers, answer))
            case Fix() | NotAnAnswer():
                return self
            case _:
                assert_never(said)

    def back(self) -> "Walk":
        """Give the walk with its latest kept answer taken back, so it is asked again."""
        return replace(self, answers=self.answers[:-1])

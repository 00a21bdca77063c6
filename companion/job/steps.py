"""Take the answer to a checklist step."""

from typing import assert_never

from checklists.walk import Answer, Fix, NotAnAnswer, Noted, Passed, Stop, judge
from companion.job.facts import Halted, QuestionAsked, StepAnswered, StepResult
from companion.job.items import AskStep
from companion.job.outputs import Ask
from companion.job.turn import Turn

_WORDS: dict[str, Answer] = {
    "done": "done",
    "yes": "yes",
    "no": "no",
    "unknown": "unknown",
}


REFUSED_OFTEN = 3
"""After so many answers that cannot count the job stands still and offers a way out."""


def answer_step(turn: Turn, item: AskStep, word: str) -> None:
    """Judge a word as the answer to a step and remember what came of it."""
    answer = _WORDS[word]
    if item.step.kind == "do" and answer == "yes":
        answer = "done"
    verdict = judge(item.step, answer)
    match verdict:
        case Passed():
            _remember(turn, item, answer, "passed")
        case Noted(text=text):
            _remember(turn, item, answer, "noted")
            turn.say("step-note", remedy=text)
        case Fix(remedy=remedy):
            _remember(turn, item, answer, "fix")
            _ask_again(turn, item, remedy)
        case Stop(remedy=remedy):
            _remember(turn, item, answer, "stop")
            turn.say("step-stop", remedy=remedy)
            turn.remember(Halted(at=turn.at, reason=f"step:{item.key}"))
        case NotAnAnswer(expected=expected):
            turn.say("not-an-answer", expects="yes-no" if "yes" in expected else "done")
        case _:
            assert_never(verdict)


def _ask_again(turn: Turn, item: AskStep, remedy: str) -> None:
    """Say what puts it right; who said no so often may also go back or finish."""
    tries = 1 if turn.job.asked is None else turn.job.asked.tries
    if tries > REFUSED_OFTEN:
        turn.say("step-stop", remedy=remedy)
        turn.remember(Halted(at=turn.at, reason=f"step:{item.key}"))
        return
    turn.say("step-fix", remedy=remedy)
    turn.remember(
        QuestionAsked(at=turn.at, key=item.key, expects="yes-no", tries=tries + 1)
    )
    turn.show(Ask(expectation="yes-no"))


def _remember(turn: Turn, item: AskStep, answer: Answer, result: StepResult) -> None:
    turn.remember(
        StepAnswered(
            at=turn.at,
            key=item.key,
            revision=item.revision,
            answer=answer,
            result=result,
        )
    )

"""Read an answer back: the value and its unit, then listen for a yes or a no."""

from typing import assert_never

from companion.job.facts import Answer, NameAnswer, NumberAnswer, OptionAnswer
from companion.job.outputs import Ask, Value
from companion.job.questions import base_key
from companion.job.turn import Turn


def say_read_back(turn: Turn) -> None:
    """Read the pending answer back and listen for a yes, a no or another value."""
    pending = turn.job.pending
    if pending is None:
        return
    key, answer = base_key(pending.key), value_of(pending.answer)
    if pending.doubt:
        turn.say("read-back-doubt", key=key, answer=answer, doubt=pending.doubt)
    else:
        turn.say("read-back", key=key, answer=answer)
    turn.show(Ask(expectation="read-back"))


def value_of(answer: Answer) -> Value:
    """Give an answer as the value of a cue."""
    match answer:
        case NumberAnswer():
            return answer.amount
        case NameAnswer():
            return answer.designation
        case OptionAnswer():
            return answer.option
        case _:
            assert_never(answer)

"""Read an answer back: the value and its unit, then listen for a yes or a no."""

from typing import assert_never

from companion.job.facts import Answer, NameAnswer, NumberAnswer, OptionAnswer
from companion.job.listening import read_back
from companion.job.outputs import Ask, Value
from companion.job.questions import base_key
from companion.job.turn import Turn

BY_SENSOR = "sensor"
"""The doubt of an answer whose sensor shows another value."""


def say_read_back(turn: Turn) -> None:
    """Read the pending answer back and listen for a yes, a no or another value.

    A yes or no that was not heard surely is asked for once more instead.
    """
    pending, asked = turn.job.pending, turn.job.asked
    if pending is None:
        return
    if not read_back(turn.job):
        turn.say("once-more", answer=value_of(pending.answer))
        turn.show(Ask(expectation=asked.expects if asked else "nothing"))
        return
    key, answer = base_key(pending.key), value_of(pending.answer)
    sensed = turn.job.disputed.get(key)
    if pending.doubt == BY_SENSOR and sensed is not None:
        turn.say("read-back-sensor", key=key, answer=answer, sensed=sensed)
    elif pending.doubt:
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

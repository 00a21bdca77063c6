"""Put the next item to the technician: one sentence, and what is expected back."""

from typing import assert_never

from companion.job import read
from companion.job.coach.telling import say_opening
from companion.job.facts import QuestionAsked
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Blocked,
    Halt,
    Item,
    Over,
    Pause,
)
from companion.job.outputs import Ask
from companion.job.questions import QUESTIONS, base_key
from companion.job.state import Job
from companion.job.turn import Turn

Put = AskQuestion | AskStep | AskReady | Halt | Blocked | Pause | Over
"""Items that wait for the technician."""


def question(job: Job, key: str, suffix: str = "") -> Item | None:
    """Ask a question unless it is answered; the suffix names its round or opening."""
    full = key + suffix
    if read.known(job, full) is not None:
        return None
    return AskQuestion(question=QUESTIONS[key], key=full)


def key_of(item: Put) -> str:
    """Give the key under which an item is put."""
    match item:
        case AskQuestion() | AskStep() | AskReady():
            return item.key
        case Halt():
            return "halted"
        case Blocked():
            return "blocked"
        case Pause():
            return "waiting"
        case Over():
            return "over"
        case _:
            assert_never(item)


def expected(item: Put) -> str:
    """Give the id of what is expected back."""
    match item:
        case AskQuestion(question=asked):
            return asked.expects
        case AskStep(step=step):
            return "done" if step.kind == "do" else "yes-no"
        case AskReady():
            return "ready"
        case Halt():
            return "halted"
        case Pause():
            return "waiting"
        case Over() | Blocked():
            return "nothing"
        case _:
            assert_never(item)


def put(turn: Turn, item: Put) -> None:
    """Put an item, once more if it was put before, and remember that it was.

    A wait, and the end of the job, are said when they begin; they stand in silence.
    """
    key = key_of(item)
    if isinstance(item, Over):
        return
    asked = turn.job.asked
    tries = asked.tries + 1 if asked is not None and asked.key == key else 1
    turn.remember(
        QuestionAsked(at=turn.at, key=key, expects=expected(item), tries=tries)
    )
    if not isinstance(item, Pause):
        say_item(turn, item)
    turn.show(Ask(expectation=expected(item)))


def say_item(turn: Turn, item: Put) -> None:
    """Say an item's own sentence."""
    match item:
        case AskQuestion():
            again = item.key.endswith(("b", "c")) and (
                "@" in item.key or "#" in item.key
            )
            turn.say("ask-again" if again else "ask", key=base_key(item.key))
        case AskStep(step=step):
            turn.say("step", caution=step.caution or "", say=step.say)
        case AskReady(plan=plan):
            _say_ready(turn, plan.opening, item)
        case Halt():
            turn.say("halted", reason=item.reason.split(":")[0])
        case Blocked(device=device):
            turn.say("blocked", device=device)
        case Pause(waiting=waiting):
            turn.say("waiting", seconds=max(0, round(waiting.until - turn.at)))
        case Over():
            turn.say("over")
        case _:
            assert_never(item)


def _say_ready(turn: Turn, number: int, item: AskReady) -> None:
    plan = item.plan
    if number == 1:
        turn.say("valve-words")
    if plan.ceiling is None:
        turn.say("ready-weigh", number=number, stop=plan.stop_weight)
        return
    say_opening(turn, plan)

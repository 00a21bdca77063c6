"""Control words and buttons: what works at every moment, and what answers an item."""

from typing import assert_never

from checklists.model import AskStep as Question
from companion.job import answers, pulses
from companion.job.asking import Put, key_of
from companion.job.charge import stale
from companion.job.coach.telling import say_standing
from companion.job.facts import (
    AnswerAccepted,
    AnswerDenied,
    AnswerRefused,
    Continued,
    Explained,
    Halted,
    OptionAnswer,
    Spoken,
    WentBack,
)
from companion.job.finish import connected
from companion.job.inputs import Button, ControlWord, Heard
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Blocked,
    Halt,
    Item,
    Pause,
)
from companion.job.listening import expected_now, read_back
from companion.job.outputs import Ask, Light, Tone
from companion.job.plan import next_item, phase_name
from companion.job.progress import say_refusal, why_refused
from companion.job.questions import base_key
from companion.job.repeating import repeat
from companion.job.state import Closed, Closing
from companion.job.turn import Turn


def command(turn: Turn, word: ControlWord) -> bool:
    """Obey a word that works at every moment; tell whether it was one."""
    match word:
        case "stop":
            _stop(turn)
        case "close":
            _close(turn)
        case "noise":
            _noise(turn)
        case "again" | "why" | "status" | "help":
            _explain(turn, word)
        case "back":
            _back(turn)
        case _:
            return False
    return True


def _close(turn: Turn) -> None:
    """Give the close call; before any hose is on, say that there is nothing to close."""
    if connected(turn.job) or not isinstance(turn.job.valve, Closed):
        pulses.call_close(turn, "asked")
        return
    turn.urge("nothing-to-close")
    turn.show(
        Light(lamp="attention", pattern="off", urgent=True),
        Tone(pattern="information", urgent=True),
    )


def _stop(turn: Turn) -> None:
    """Stop: the valve first, then stand still until told how to go on."""
    job = turn.job
    if job.finished:
        turn.say("over")
        return
    if connected(job) or not isinstance(job.valve, Closed):
        pulses.call_close(turn, "asked")
    if turn.job.halted is None:
        turn.remember(Halted(at=turn.at, reason="asked"))
        turn.say("stopped")


def _noise(turn: Turn) -> None:
    """Close and stand still: a knock or groan means that something is wrong."""
    if connected(turn.job):
        pulses.call_close(turn, "noise")
    if turn.job.halted is None and not turn.job.finished:
        turn.remember(Halted(at=turn.at, reason="noise"))


def _explain(turn: Turn, word: ControlWord) -> None:  # noqa: C901 - one match
    if turn.job.finished:
        turn.say("over")
        return
    match word:
        case "again" | "why" | "status" | "help":
            turn.remember(Explained(at=turn.at, what=word))
        case _:
            return
    if isinstance(turn.job.valve, Closing):
        pulses.call_close(turn, "asked")
        return
    expects = expected_now(turn.job)[0]
    match word:
        case "again" if not isinstance(turn.job.valve, Closed):
            turn.say("valve-open")
        case "again":
            repeat(turn)
            return
        case "why":
            _why(turn)
        case "status":
            _status(turn)
            say_standing(turn)
        case "help":
            turn.say("help", expects=expects)
    turn.show(Ask(expectation=expects))


def _why(turn: Turn) -> None:
    if not isinstance(turn.job.valve, Closed):
        turn.say("why", key="valve")
        return
    item = next_item(turn.job, turn.know)
    match item:
        case AskStep(step=step):
            turn.say("because", text=step.why)
        case AskQuestion() | AskReady():
            turn.say("why", key=base_key(item.key))
        case Pause():
            turn.say("why", key="waiting")
        case Halt(reason=reason):
            _why_halted(turn, reason)
        case Blocked(device=device):
            turn.say("blocked", device=device)
        case _:
            turn.say("why", key="halted")


def _why_halted(turn: Turn, reason: str) -> None:
    """Say again what stopped the job: the refusal, the step, or who asked for it."""
    kind, _, detail = reason.partition(":")
    if kind == "method":
        refused = why_refused(turn)
        if refused is not None:
            say_refusal(turn, refused)
            return
    list_id, _, step_id = detail.partition("/")
    checklist = turn.know.checklists.get(list_id)
    for step in checklist.steps if kind == "step" and checklist is not None else ():
        if step.id == step_id and isinstance(step, Question):
            turn.say("step-stop", remedy=step.remedy)
            return
    turn.say("why", key=f"halted-{kind}")


def _status(turn: Turn) -> None:
    if not isinstance(turn.job.valve, Closed):
        turn.say("status-valve", valve=turn.job.valve.kind)
        return
    asked = turn.job.asked
    key = "" if asked is None else "step" if "/" in asked.key else base_key(asked.key)
    turn.say(
        "status",
        phase=phase_name(turn.job, turn.know),
        valve=turn.job.valve.kind,
        key=key,
    )


def _back(turn: Turn) -> None:
    job = turn.job
    if not isinstance(job.valve, Closed):
        pulses.call_close(turn, "asked")
        return
    if job.pending is not None:
        turn.remember(AnswerDenied(at=turn.at, key=job.pending.key))
        turn.say("went-back")
        turn.again = True
        return
    if not job.order or job.finished:
        turn.say("cannot-go-back")
        return
    turn.remember(WentBack(at=turn.at, key=job.order[-1]))
    turn.say("went-back")
    turn.again = True


def word_at(turn: Turn, item: Item, word: ControlWord, heard: Heard) -> None:
    """Take a word where an opening, a halt or a pause stands."""
    match item, word:
        case AskReady(), "ready":
            if answers.twice(turn, item, "ready", heard):
                _ready(turn, item, heard.by, heard.words)
        case AskReady(), "wait" | "no":
            turn.say("not-ready")
        case Halt(), "continue" | "yes":
            turn.remember(Continued(at=turn.at))
            turn.say("going-on")
        case Halt(), "wait":
            turn.say("halted-waits")
        case Pause(), _:
            repeat(turn)
        case ((AskReady() | Halt()), _):
            answers.take(turn, item, heard)
        case _:
            pass


def _ready(turn: Turn, item: AskReady, by: Spoken, words: str) -> None:
    ready = OptionAnswer(option="ready")
    if isinstance(turn.job.valve, Closed) and stale(turn.job, turn.at):
        turn.remember(
            AnswerRefused(at=turn.at, key=item.key, reason="stale", words=words)
        )
        turn.say("readings-old")
        turn.again = True
        return
    turn.remember(
        AnswerAccepted(at=turn.at, key=item.key, answer=ready, words=words, by=by)
    )
    pulses.call_open(turn, item.plan)


def press(turn: Turn, button: Button) -> None:
    """Obey a button."""
    match button:
        case "stop":
            _stop(turn)
        case "closed":
            if isinstance(turn.job.valve, Closed):
                turn.say("already-closed")
            else:
                pulses.closed(turn, sure=True, by="button")
        case "say-again":
            _explain(turn, "again")
        case "confirm":
            _confirm(turn)
        case "talk":
            pass
        case _:
            assert_never(button)


def _confirm(turn: Turn) -> None:
    """Confirm means "yes", "done", "ready", "opened" or "closed", as the moment asks."""
    job = turn.job
    if not isinstance(job.valve, Closed):
        if isinstance(job.valve, Closing):
            pulses.closed(turn, sure=True, by="button")
        else:
            pulses.opened(turn)
        return
    item = next_item(job, turn.know)
    match item:
        case AskQuestion() if read_back(job):
            answers.confirm_pending(turn, "button")
        case AskStep(step=step):
            word = "done" if step.kind == "do" else "yes"
            answers.take_word(turn, item, word, "", "button")
        case AskReady():
            _ready(turn, item, "button", "")
        case Halt():
            turn.remember(Continued(at=turn.at))
            turn.say("going-on")
        case AskQuestion(question=asked):
            word = "done" if asked.expects == "done" else "yes"
            answers.take_word(turn, item, word, "", "button")
        case _:
            repeat(turn)


def stands(turn: Turn, item: Put) -> bool:
    """Tell whether this item is the one put last."""
    asked = turn.job.asked
    return asked is not None and asked.key == key_of(item)

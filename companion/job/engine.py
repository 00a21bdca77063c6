"""Decide what one input means: facts to remember, and outputs to perform.

Rules of all phases come first: stop, close, the open valve, losing a device, coming
back from a power cut. Only then is an input an answer to what was asked. Last, the
engine goes on by itself as far as it can and puts the next item to the technician.
"""

from typing import assert_never

from companion.job import answers, controls, pulses
from companion.job.amounts import amount
from companion.job.asking import put
from companion.job.deadlines import next_deadline
from companion.job.facts import (
    CloseCalled,
    DeviceCameBack,
    DeviceWentMissing,
    JobStarted,
    NumberAnswer,
    PowerReturned,
)
from companion.job.finish import connected
from companion.job.inputs import (
    Begun,
    DeviceFound,
    DeviceLost,
    Heard,
    Input,
    Pressed,
    Resumed,
    SaidControl,
    SaidOutOfRange,
    SaidQuantity,
    Sampled,
    Ticked,
)
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Attend,
    Begin,
    Blocked,
    DecideMethod,
    EndCharging,
    FinishJob,
    Halt,
    JudgeRound,
    Over,
    Pause,
    StartWait,
)
from companion.job.know import Know
from companion.job.plan import next_item, phase_name
from companion.job.progress import advance
from companion.job.questions import base_key
from companion.job.silence import notice_silence
from companion.job.state import Closed, Closing, Job, Open, Opening
from companion.job.turn import Decision, Turn
from companion.knowledge.quantities import GaugePressure, Mass

__all__ = ["decide", "next_deadline"]

WATCHING = frozenset({"microphone", "recogniser", "keyboard", "speaker", "record"})
"""Devices without which no valve stays open: the call must be heard and obeyed."""


def decide(job: Job, event: Input, know: Know) -> Decision:
    """Work out what an input leads to; the job itself is not changed.

    An input that comes late carries its own time; time never runs back.
    """
    turn = Turn(job, event.at, know)
    _receive(turn, event)
    _go_on(turn)
    return turn.decision()


def _receive(turn: Turn, event: Input) -> None:  # noqa: C901 - one match, every input
    match event:
        case Begun():
            _begin(turn, event)
        case Heard():
            _hear(turn, event)
        case Pressed():
            controls.press(turn, event.button)
        case Sampled():
            _sample(turn, event)
        case Ticked():
            pulses.tick(turn)
            notice_silence(turn)
        case Resumed():
            _resume(turn)
        case DeviceLost():
            _lose(turn, event)
        case DeviceFound():
            _find(turn, event)
        case _:
            assert_never(event)


def _begin(turn: Turn, event: Begun) -> None:
    if turn.job.started:
        return
    turn.remember(
        JobStarted(
            at=turn.at,
            job=event.job,
            ambient=amount(event.ambient),
            units=event.units,
            known_voice=event.known_voice,
        )
    )
    turn.say("welcome")


def _hear(turn: Turn, heard: Heard) -> None:
    said = heard.said
    if isinstance(said, SaidControl) and controls.command(turn, said.word):
        return
    if not isinstance(turn.job.valve, Closed):
        _hear_at_the_valve(turn, heard)
        return
    if isinstance(said, SaidControl) and said.word == "opened" and connected(turn.job):
        pulses.opened(turn)
        return
    item = next_item(turn.job, turn.know)
    match item:
        case AskReady() | Halt() | Pause() if isinstance(said, SaidControl):
            controls.word_at(turn, item, said.word, heard)
        case (
            AskQuestion()
            | AskStep()
            | AskReady()
            | Halt()
            | Blocked()
            | Pause()
            | Over()
        ):
            answers.take(turn, item, heard)
        case _:
            pass


def _hear_at_the_valve(turn: Turn, heard: Heard) -> None:
    match heard.said:
        case SaidControl(word="opened"):
            pulses.opened(turn)
        case SaidControl(word="closed"):
            pulses.closed(turn, sure=heard.sure, by=heard.by)
        case SaidControl(word="yes") if isinstance(turn.job.valve, Closing):
            if turn.job.pending is not None:
                pulses.closed(turn, sure=True, by=heard.by)
        case SaidQuantity(quantity=GaugePressure() | Mass() as value):
            pulses.reading(turn, value, heard.by)
        case SaidOutOfRange():
            pulses.off_the_gauge(turn)
        case _:
            pass


def _sample(turn: Turn, event: Sampled) -> None:
    if isinstance(turn.job.valve, Opening | Open):
        for key in ("suction-pressure", "cylinder-weight"):
            value = event.readings.get(key)
            if isinstance(value, GaugePressure | Mass):
                pulses.reading(turn, value, "sensor")
        return
    item = next_item(turn.job, turn.know)
    if isinstance(item, AskQuestion):
        value = event.readings.get(base_key(item.key))
        if value is not None:
            answers.accept_sample(turn, item.key, NumberAnswer(amount=amount(value)))


def _resume(turn: Turn) -> None:
    if not turn.job.started or turn.job.finished:
        return
    turn.remember(PowerReturned(at=turn.at))
    if connected(turn.job) or not isinstance(turn.job.valve, Closed):
        _make_safe(turn)
        return
    turn.say("resumed", phase=phase_name(turn.job, turn.know))


def _make_safe(turn: Turn) -> None:
    """Call for the valve to be closed, even if a close call was under way."""
    if isinstance(turn.job.valve, Closing):
        number = turn.job.valve.number
        turn.remember(CloseCalled(at=turn.at, opening=number, reason="restart"))
        pulses.close_cue(turn, "close-restart")
        return
    pulses.call_close(turn, "restart")


def _lose(turn: Turn, event: DeviceLost) -> None:
    if event.device in turn.job.missing:
        return
    if event.device in WATCHING and not isinstance(turn.job.valve, Closed | Closing):
        pulses.call_close(turn, "device")
    turn.remember(
        DeviceWentMissing(at=turn.at, device=event.device, reason=event.reason)
    )
    turn.urge("device-lost", device=event.device, reason=event.reason)


def _find(turn: Turn, event: DeviceFound) -> None:
    if event.device in turn.job.missing:
        turn.remember(DeviceCameBack(at=turn.at, device=event.device))
        turn.say("device-found", device=event.device)
        turn.again = True


def _go_on(turn: Turn) -> None:
    """Do what needs nobody, then put the next item unless it stands already."""
    while True:
        item = next_item(turn.job, turn.know)
        match item:
            case DecideMethod() | JudgeRound() | StartWait() | EndCharging():
                advance(turn, item)
            case FinishJob():
                advance(turn, item)
            case Pause() if turn.at >= item.waiting.until:
                advance(turn, item)
            case Begin() | Attend():
                return
            case (
                AskQuestion()
                | AskStep()
                | AskReady()
                | Halt()
                | Blocked()
                | Pause()
                | Over()
            ):
                if turn.again or not controls.stands(turn, item):
                    put(turn, item)
                return
            case _:
                assert_never(item)

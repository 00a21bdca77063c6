"""Decide what one input means: facts to remember, and outputs to perform.

Rules of all phases come first: stop, close, the open valve, losing a device, coming
back from a power cut. Only then is an input an answer to what was asked. Last, the
engine goes on by itself as far as it can and puts the next item to the technician.
"""

from typing import assert_never

from companion.job import answers, controls, dialing, disputes, pulses
from companion.job.amounts import amount
from companion.job.asking import put
from companion.job.charge import cylinder_shut
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
    ControlWord,
    DeviceFound,
    DeviceLost,
    Heard,
    Input,
    Pressed,
    Resumed,
    Said,
    SaidControl,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
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
    MakeSafe,
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
from companion.job.suction_watch import watch
from companion.job.turn import Decision, Turn
from companion.knowledge.quantities import GaugePressure, Mass, Quantity

__all__ = ["decide", "next_deadline"]

WATCHING = frozenset(
    {
        "microphone",
        "recogniser",
        "keyboard",
        "speaker",
        "record",
        "supply",
        disputes.sensor("suction-pressure"),
        disputes.sensor("cylinder-weight"),
    }
)
"""Devices without which no valve stays open: the call must be heard and obeyed, and
a sensor that was watched must not fail unseen."""


_SENSORS = frozenset(map(disputes.sensor, disputes.SENSED))


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
            _press(turn, event)
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


def _press(turn: Turn, event: Pressed) -> None:
    """Let the dial have a press that is for it; else obey the button."""
    dialled = dialing.press(turn, event.button)
    if dialled is None:
        controls.press(turn, event.button)
    elif dialled != "taken":
        _hear(turn, dialled)


def _hear(turn: Turn, heard: Heard) -> None:
    said = heard.said
    if isinstance(said, SaidControl) and controls.command(turn, said.word):
        return
    if not isinstance(turn.job.valve, Closed):
        _hear_at_the_valve(turn, heard)
        return
    item = next_item(turn.job, turn.know)
    if isinstance(item, Pause) and _idle(said):
        return
    if isinstance(said, SaidControl) and _of_the_valve(turn, said.word):
        return
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


def _of_the_valve(turn: Turn, word: ControlWord) -> bool:
    """Obey a word about the valve while it counts as closed; tell whether it was one.

    Flowing with no opening called means an open valve: it gets its close call. Shut
    is as it should be.
    """
    if word == "opened" and connected(turn.job):
        pulses.opened(turn)
        return True
    if word == "closed" and connected(turn.job):
        turn.say("already-closed")
        turn.again = turn.job.pending is None  # what was asked still stands
        return True
    return False


def _idle(said: Said) -> bool:
    """Tell what needs no answer while the unit settles: a sound, or "closed" again."""
    return isinstance(said, SaidUnclear) or said == SaidControl(word="closed")


def _hear_at_the_valve(turn: Turn, heard: Heard) -> None:
    match heard.said:
        case SaidControl(word="opened"):
            pulses.opened(turn)
        case SaidControl(word="closed"):
            pulses.closed(turn, sure=heard.sure, by=heard.by)
        case SaidControl(word="yes") if isinstance(turn.job.valve, Closing):
            if turn.job.pending is not None:
                pulses.closed(turn, sure=True, by=heard.by)
        case SaidControl(word="wait"):
            pulses.call_close(turn, "asked")
        case SaidQuantity(quantity=GaugePressure() | Mass() as value):
            _called_out(turn, value, heard)
        case SaidOutOfRange():
            pulses.off_the_gauge(turn)
        case _:
            pass


def _called_out(turn: Turn, value: GaugePressure | Mass, heard: Heard) -> None:
    """Take a reading called out with the valve open, beside the sensor's."""
    reading = "cylinder-weight" if isinstance(value, Mass) else "suction-pressure"
    differs = None
    if isinstance(turn.job.valve, Opening | Open):
        differs = disputes.differs_while_open(turn, reading, value, heard)
        if differs is None:
            return
    pulses.reading(turn, value, heard.by)
    if differs and isinstance(turn.job.valve, Opening | Open):
        pulses.call_close(turn, "unsure")


def _sample(turn: Turn, event: Sampled) -> None:
    if isinstance(turn.job.valve, Opening | Open):
        for key in ("suction-pressure", "cylinder-weight"):
            value = event.readings.get(key)
            if key in turn.job.disbelieved:
                continue
            if isinstance(value, GaugePressure | Mass):
                pulses.reading(turn, value, "sensor")
        return
    _answer_by_sensor(turn, event)
    _watch_closed(turn, event.readings.get("suction-pressure"))


def _answer_by_sensor(turn: Turn, event: Sampled) -> None:
    item = next_item(turn.job, turn.know)
    left = dict(event.readings)
    while isinstance(item, AskQuestion):
        reading = base_key(item.key)
        # A reading that is asked for twice is to be read twice.
        value = left.pop(reading, None)
        if value is None:
            return
        found = NumberAnswer(amount=amount(value), error=event.errors.get(reading))
        if not answers.accept_sample(turn, item.key, found):
            return
        item = next_item(turn.job, turn.know)


def _watch_closed(turn: Turn, shown: Quantity | None) -> None:
    """Look at suction with the valve closing, or counted as closed."""
    believed = disputes.believed(turn.job, "suction-pressure")
    if not isinstance(shown, GaugePressure) or not believed:
        return
    if isinstance(turn.job.valve, Closing):
        pulses.still_rising(turn, shown)
        return
    watch(turn, shown, cylinder_open=not cylinder_shut(turn.job))


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
    if event.device in _SENSORS:
        reason = event.reason or "gone"
        if isinstance(turn.job.valve, Closed):
            turn.say("sensor-lost", device=event.device, reason=reason)
            turn.again = True
        else:
            turn.urge("sensor-lost", device=event.device, reason=reason)
    elif event.reason:
        turn.urge("device-lost", device=event.device, reason=event.reason)
    else:
        turn.urge("device-gone", device=event.device)


def _find(turn: Turn, event: DeviceFound) -> None:
    if event.device in turn.job.missing:
        turn.remember(DeviceCameBack(at=turn.at, device=event.device))
        turn.say("device-found", device=event.device)
        turn.again = True


def _leave(turn: Turn, item: MakeSafe | Begin | Attend) -> None:
    """Put nothing; a valve that is not fully shut gets its close call."""
    if isinstance(item, MakeSafe):
        pulses.call_close(turn, "unsure")


def _go_on(turn: Turn) -> None:
    """Do what needs nobody, then put the next item unless it stands already."""
    while True:
        item = next_item(turn.job, turn.know)
        match item:
            case DecideMethod() | JudgeRound() | StartWait() | EndCharging():
                advance(turn, item)
            case FinishJob():
                advance(turn, item)
            case Pause() if turn.at >= item.waiting.until - pulses.SLACK_S:
                advance(turn, item)
            case MakeSafe() | Begin() | Attend():
                _leave(turn, item)
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

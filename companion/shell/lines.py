"""The engine as a filter: JSON lines in with their own time, JSON lines out.

No clock and no device: same input, same output. Each input line holds ``at`` and
exactly one of ``hear``, ``press``, ``sense``, ``lost``, ``found`` or ``tick``. When an
input comes later than a moment the engine asked to be woken at, the engine is woken at
that moment first, so that a caller who sends no ticks still gets every close call. A
call to stop or close whose time cannot be used is obeyed as now, and the close call
that is due goes out when the lines end.
"""

import json
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, TextIO

from companion.job.amounts import Amount
from companion.job.facts import Fact
from companion.job.inputs import (
    Begun,
    Heard,
    Resumed,
    SaidControl,
    Sampled,
)
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.state import Job, Open, Opening
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Mass,
    Temperature,
    TemperatureDifference,
)
from companion.shell.journal import fact_to_dict
from companion.shell.line_reading import (
    KINDS,
    LineError,
    check_gap,
    check_keys,
    input_of,
    object_of,
    time_of,
)
from companion.shell.loop import Loop
from companion.shell.still_sensor import StillSensor
from companion.shell.translate import heard, plain_text
from companion.shell.wording import Line
from speech import Heard as Sound

_SAID_IN: dict[str, tuple[str, Callable[[float], float]]] = {
    "gauge-pressure": ("psig", lambda si: GaugePressure(si).psi),
    "temperature": ("f", lambda si: Temperature(si).f),
    "temperature-difference": ("df", lambda si: TemperatureDifference(si).f),
    "mass": ("oz", lambda si: Mass(si).oz),
}
"""Beside its SI number an amount is given in the unit it is mostly said in."""
_CLOSING = ("stop", "close", "closed", "noise")
"""Words that close a valve, or say that it is closed: never lost for a wrong time."""
FRESH_S = 1.5
"""Words are compared with what was sensed at most so long before [s]."""


class JsonStage:
    """Writes outputs as JSON lines."""

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def write(self, **record: Any) -> None:
        """Write one object as a line."""
        self._out.write(json.dumps(record, ensure_ascii=False) + "\n")
        self._out.flush()

    def say(self, at: float, cue: Say, line: Line) -> None:
        """Write a sentence with its cue and plain values."""
        self.write(
            at=at,
            say=line.text,
            cue=cue.cue,
            values={name: _plain(value) for name, value in cue.values.items()},
            urgent=cue.urgent,
        )

    def light(self, at: float, light: Light) -> None:
        """Write a lamp and its pattern."""
        self.write(at=at, light=light.lamp, pattern=light.pattern)

    def tone(self, at: float, tone: Tone) -> None:
        """Write a tone."""
        self.write(at=at, tone=tone.pattern)

    def ask(self, at: float, ask: Ask, job: Job) -> None:  # noqa: ARG002
        """Write what is expected."""
        self.write(at=at, ask=ask.expectation)

    def facts(self, at: float, facts: Sequence[Fact]) -> None:  # noqa: ARG002
        """Write facts, each with its own time."""
        for fact in facts:
            plain = fact_to_dict(fact)
            self.write(at=plain.pop("at"), fact=plain.pop("kind"), **plain)


def _plain(value: object) -> object:
    if value is None or isinstance(value, str | int | float):
        return value
    plain = {"of": getattr(value, "of", ""), "si": getattr(value, "si", None)}
    if isinstance(value, Amount) and value.of in _SAID_IN:
        name, read = _SAID_IN[value.of]
        plain[name] = round(read(value.si), 2)
    return plain


def run_lines(
    lines: Iterable[str],
    stage: JsonStage,
    loop: Loop,
    *,
    job_id: str,
    ambient: AbsolutePressure,
) -> None:
    """Drive a loop from lines until they end; a job begins with the first line.

    A line that cannot be used is answered with an error line and changes nothing,
    unless it calls for the valve to be closed; only its time counts, where it has one,
    so that what is due by then is not held up.
    """
    taking = _Taking(stage, loop, job_id, ambient)
    for number, text in enumerate(lines, start=1):
        taking.take(number, text)
        stage.write(done=number, deadline=_in_ms(loop.deadline))
    _close_at_the_end(loop)


class _Taking:
    """Takes one line after the other; times go up."""

    def __init__(
        self, stage: JsonStage, loop: Loop, job_id: str, ambient: AbsolutePressure
    ) -> None:
        self._stage = stage
        self._loop = loop
        self._job_id = job_id
        self._ambient = ambient
        self._begun = False
        self._before = 0.0
        self._sensed: Sampled | None = None
        self._suction = StillSensor()

    def take(self, number: int, text: str) -> None:
        """Hand a line to the engine, or say what is wrong with it."""
        record: dict[str, Any] = {}
        try:
            record = object_of(number, text)
            at = self._moment(number, record)
            ready = input_of(number, at, record)
        except LineError as trouble:
            self._stage.write(error=str(trouble))
            self._pass_time(number, record)
            return
        if not self._begun:
            _begin(self._loop, at, self._job_id, self._ambient)
            self._begun = True
        self._until(at)
        if isinstance(ready, Sampled):
            for each in self._suction.see(ready, self._loop.job.valve):
                self._sensed = each if isinstance(each, Sampled) else self._sensed
                self._loop.step(each)
            return
        if isinstance(ready, str):
            ready = _heard(at, ready, self._loop, self._fresh(at))
        self._loop.step(ready)

    def _moment(self, number: int, record: dict[str, Any]) -> float:
        try:
            check_keys(number, record)
            at = time_of(number, record)
            if self._begun:
                check_gap(number, at, self._before)
        except LineError as trouble:
            if not (self._begun and _closes(record, self._loop)):
                raise
            self._stage.write(error=f"{trouble}; obeyed all the same, as now")
            return self._before
        return at

    def _pass_time(self, number: int, record: dict[str, Any]) -> None:
        """Let the time of a line count that is no use otherwise, where it has one."""
        if not self._begun:
            return
        try:
            at = time_of(number, record)
            check_gap(number, at, self._before)
        except LineError:
            return
        self._until(at)

    def _until(self, at: float) -> None:
        self._before = max(at, self._before)
        _catch_up(self._loop, at)

    def _fresh(self, at: float) -> Sampled | None:
        sensed = self._sensed
        return sensed if sensed and at - sensed.at <= FRESH_S else None


def _close_at_the_end(loop: Loop) -> None:
    """Give the close call that is due: nobody is left who would send a tick."""
    while isinstance(loop.job.valve, Opening | Open) and loop.deadline is not None:
        loop.wake(loop.deadline)


def _closes(record: dict[str, Any], loop: Loop) -> bool:
    """Tell whether a line calls for the valve to be closed, or says that it is."""
    if len([kind for kind in KINDS if kind in record]) != 1:
        return False
    match record:
        case {"press": "stop" | "closed"}:
            return True
        case {"hear": str(words)}:
            said = _heard(loop.job.at, plain_text(words), loop, None).said
            return isinstance(said, SaidControl) and said.word in _CLOSING
        case _:
            return False


def _in_ms(due: float | None) -> float | None:
    """Give a moment rounded up to a millisecond: a tick then is never too early."""
    return None if due is None else math.ceil(due * 1000 - 1e-6) / 1000


def _begin(loop: Loop, at: float, job_id: str, ambient: AbsolutePressure) -> None:
    if loop.job.started:
        loop.step(Resumed(at=max(at, loop.job.at)))
        return
    system = loop.wording.system
    loop.step(Begun(at=at, job=job_id, ambient=ambient, units=system))


def _catch_up(loop: Loop, at: float) -> None:
    while (due := loop.deadline) is not None and due < at:
        loop.wake(due)


def _heard(at: float, words: str, loop: Loop, sensed: Sampled | None) -> Heard:
    sound = Sound(words=words, confidence=1, sure=True, engine="typed", begin=0, end=0)
    names = loop.know.knowledge.catalogue.designations
    found = heard(at, sound, expected_now(loop.job), loop.wording, names)
    return replace(found, sensed=sensed)

"""The engine as a filter: JSON lines in with their own time, JSON lines out.

No clock and no device: same input, same output. Each input line holds ``at`` and
exactly one of ``hear``, ``press``, ``sense``, ``lost``, ``found`` or ``tick``. When an
input comes later than a moment the engine asked to be woken at, the engine is woken at
that moment first, so that a caller who sends no ticks still gets every close call.
"""

import json
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, TextIO, cast, get_args

from companion.job.amounts import Amount
from companion.job.cue_meanings import ACTS, MEANINGS
from companion.job.cues import CUES
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import FACT_TYPES, Fact
from companion.job.inputs import (
    DEVICES,
    Begun,
    Button,
    DeviceFound,
    DeviceLost,
    Input,
    Pressed,
    Resumed,
    Sampled,
    Ticked,
)
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.pulses import printed_table
from companion.job.state import Job
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
)
from companion.shell.errors import CompanionError
from companion.shell.journal import fact_to_dict
from companion.shell.loop import Loop
from companion.shell.translate import button_of, heard, plain_text
from companion.shell.wording import Line
from speech import Heard as Sound

_SENSES: dict[str, tuple[str, Callable[[float], Quantity]]] = {
    "suction_psig": ("suction-pressure", GaugePressure.from_psi),
    "liquid_psig": ("liquid-pressure", GaugePressure.from_psi),
    "suction_line_f": ("suction-line-temperature", Temperature.from_f),
    "liquid_line_f": ("liquid-line-temperature", Temperature.from_f),
    "outdoor_f": ("outdoor-temperature", Temperature.from_f),
    "scale_oz": ("cylinder-weight", Mass.from_oz),
}
"""Reading name in a line to the job's own name and its unit."""
_SAID_IN: dict[str, tuple[str, Callable[[float], float]]] = {
    "gauge-pressure": ("psig", lambda si: GaugePressure(si).psi),
    "temperature": ("f", lambda si: Temperature(si).f),
    "temperature-difference": ("df", lambda si: TemperatureDifference(si).f),
    "mass": ("oz", lambda si: Mass(si).oz),
}
"""Beside its SI number an amount is given in the unit it is mostly said in."""
_KINDS = ("hear", "press", "sense", "lost", "found", "tick")


FRESH_S = 1.5
"""Words are compared with what was sensed at most so long before [s]."""
LONGEST_GAP_S = 86_400.0
"""More time than this between two lines is a mistake [s]."""


LATEST_S = 60.0
"""A line that is later than this is a mistake, not a slow reading [s]."""


class LineError(CompanionError, ValueError):
    """An input line cannot be used; the message says which and why."""


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

    A line that cannot be used is answered with an error line and changes nothing.
    """
    begun, before = False, 0.0
    sensed: Sampled | None = None
    for number, text in enumerate(lines, start=1):
        if not text.strip():
            continue
        try:
            record = _record(number, text)
            at = _time(number, record)
            ready = _input(number, record)
            if begun:
                _check_gap(number, at, before)
            else:
                _begin(loop, at, job_id, ambient)
                begun = True
            before = at
            _catch_up(loop, at)
            if isinstance(ready, Sampled):
                sensed = ready
            fresh = sensed if sensed and at - sensed.at <= FRESH_S else None
            loop.step(
                _heard(at, ready, loop, fresh) if isinstance(ready, str) else ready
            )
        except LineError as trouble:
            stage.write(error=str(trouble))
        stage.write(done=number, deadline=_in_ms(loop.deadline))


def _in_ms(due: float | None) -> float | None:
    """Give a moment rounded up to a millisecond: a tick then is never too early."""
    return None if due is None else math.ceil(due * 1000 - 1e-6) / 1000


def _check_gap(number: int, at: float, before: float) -> None:
    """Refuse a time that is a mistake; a little late is taken as now."""
    if at < before - LATEST_S:
        raise LineError(
            f"line {number}: 'at' is {at:g}, but {before:g} came before; times go up"
        )
    if at > before + LONGEST_GAP_S:
        raise LineError(
            f"line {number}: 'at' is {at:g}, more than {LONGEST_GAP_S:g} s after the "
            "line before; send a tick in between"
        )


def _begin(loop: Loop, at: float, job_id: str, ambient: AbsolutePressure) -> None:
    if loop.job.started:
        loop.step(Resumed(at=max(at, loop.job.at)))
        return
    system = loop.wording.system
    loop.step(Begun(at=at, job=job_id, ambient=ambient, units=system))


def _catch_up(loop: Loop, at: float) -> None:
    while (due := loop.deadline) is not None and due < at:
        loop.wake(due)


def _record(number: int, text: str) -> dict[str, Any]:
    try:
        record = json.loads(text)
    except (ValueError, RecursionError) as trouble:
        raise LineError(
            f"line {number} is not JSON ({trouble}); send one object a line"
        ) from trouble
    if not isinstance(record, dict):
        raise LineError(f"line {number} is not an object; send one object a line")
    unknown = set(record) - {"at", *_KINDS}
    kinds = [kind for kind in _KINDS if kind in record]
    if unknown or len(kinds) != 1:
        raise LineError(
            f"line {number} needs 'at' and exactly one of {', '.join(_KINDS)}; "
            f"it has {', '.join(sorted(record)) or 'nothing'}"
        )
    return record


def _time(number: int, record: dict[str, Any]) -> float:
    at = record.get("at")
    if not isinstance(at, int | float) or isinstance(at, bool) or not 0 <= at < 1e9:
        raise LineError(f"line {number}: 'at' must be seconds from 0, not {at!r}")
    return float(at)


def _heard(at: float, words: str, loop: Loop, sensed: Sampled | None) -> Input:
    sound = Sound(words=words, confidence=1, sure=True, engine="typed", begin=0, end=0)
    names = loop.know.knowledge.catalogue.designations
    found = heard(at, sound, expected_now(loop.job), loop.wording, names)
    return replace(found, sensed=sensed)


def _input(number: int, record: dict[str, Any]) -> Input | str:
    """Read a line; words come back as they are, since time decides what they mean."""
    at = _time(number, record)
    match record:
        case {"hear": str(words)}:
            return plain_text(words)
        case {"press": str(name)} if (button := button_of(name)) is not None:
            return Pressed(at=at, button=button)
        case {"sense": dict(readings)}:
            return Sampled(at=at, readings=_readings(number, readings))
        case {"lost": str(device)} if device in DEVICES:
            return DeviceLost(at=at, device=device)
        case {"found": str(device)} if device in DEVICES:
            return DeviceFound(at=at, device=device)
        case {"tick": _}:
            return Ticked(at=at)
        case _:
            raise LineError(
                f"line {number} cannot be used: {json.dumps(record)}; buttons are "
                f"{', '.join(get_args(Button))}, readings {', '.join(_SENSES)}, devices "
                f"{', '.join(DEVICES)}"
            )


def _readings(number: int, readings: dict[str, Any]) -> dict[str, Quantity]:
    found: dict[str, Quantity] = {}
    for name, value in readings.items():
        try:
            key, make = _SENSES[name]
            found[key] = make(float(_number(value)))
        except (KeyError, TypeError, ValueError, OverflowError) as trouble:
            raise LineError(
                f"line {number}: {name} = {value!r} is no reading ({trouble}); readings "
                f"are numbers called {', '.join(_SENSES)}"
            ) from trouble
    return found


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("not a number")
    return value


def describe() -> dict[str, Any]:
    """Give every cue, expectation, fact and button, for those who drive the filter."""
    return {
        "cues": {cue: list(values) for cue, values in CUES.items()},
        "expectations": {
            each.id: {
                "number": each.of,
                "low": each.low if each.of else None,
                "high": each.high if each.of else None,
                "options": list(each.options),
                "names": each.names,
                "controls": list(each.controls),
            }
            for each in EXPECTATIONS.values()
        },
        "facts": {
            fact.__dataclass_fields__["kind"].default: [
                name for name in fact.__dataclass_fields__ if name != "kind"
            ]
            for fact in cast("Iterable[Any]", FACT_TYPES)
        },
        "acts": dict(ACTS),
        "meanings": dict(MEANINGS),
        "buttons": list(get_args(Button)),
        "devices": list(DEVICES),
        "readings": list(_SENSES),
        "valve": printed_table().splitlines(),
    }

"""Read one line of the filter: an object with its time and one input.

Everything that is wrong with a line is a :class:`LineError` that names the line.
"""

import json
from collections.abc import Callable
from typing import Any, get_args

from companion.job.expectations import EXPECTATIONS
from companion.job.inputs import (
    DEVICES,
    Button,
    DeviceFound,
    DeviceLost,
    Input,
    Pressed,
    Sampled,
    Ticked,
)
from companion.knowledge.quantities import GaugePressure, Mass, Quantity, Temperature
from companion.shell.errors import CompanionError
from companion.shell.translate import button_of, plain_text

SENSES: dict[str, tuple[str, Callable[[float], Quantity]]] = {
    "suction_psig": ("suction-pressure", GaugePressure.from_psi),
    "liquid_psig": ("liquid-pressure", GaugePressure.from_psi),
    "suction_line_f": ("suction-line-temperature", Temperature.from_f),
    "liquid_line_f": ("liquid-line-temperature", Temperature.from_f),
    "outdoor_f": ("outdoor-temperature", Temperature.from_f),
    "scale_oz": ("cylinder-weight", Mass.from_oz),
}
"""Reading name in a line to the job's own name and its unit."""
KINDS = ("hear", "press", "sense", "lost", "found", "tick")
LONGEST_GAP_S = 86_400.0
"""More time than this between two lines is a mistake [s]."""
LATEST_S = 60.0
"""A line that is later than this is a mistake, not a slow reading [s]."""


class LineError(CompanionError, ValueError):
    """An input line cannot be used; the message says which and why."""


def object_of(number: int, text: str) -> dict[str, Any]:
    """Read the line's object, whatever it holds."""
    if not text.strip():
        raise LineError(f"line {number} is empty; send one object a line")
    try:
        record = json.loads(text)
    except (ValueError, RecursionError) as trouble:
        raise LineError(
            f"line {number} is not JSON ({trouble}); send one object a line"
        ) from trouble
    if not isinstance(record, dict):
        raise LineError(f"line {number} is not an object; send one object a line")
    return record


def check_keys(number: int, record: dict[str, Any]) -> None:
    """Refuse a line without exactly one input, or with keys nobody knows."""
    unknown = set(record) - {"at", *KINDS}
    kinds = [kind for kind in KINDS if kind in record]
    if unknown or len(kinds) != 1:
        raise LineError(
            f"line {number} needs 'at' and exactly one of {', '.join(KINDS)}; "
            f"it has {', '.join(sorted(record)) or 'nothing'}"
        )


def time_of(number: int, record: dict[str, Any]) -> float:
    """Read the time of a line [s]."""
    at = record.get("at")
    if not isinstance(at, int | float) or isinstance(at, bool) or not 0 <= at < 1e9:
        raise LineError(f"line {number}: 'at' must be seconds from 0, not {at!r}")
    return float(at)


def check_gap(number: int, at: float, before: float) -> None:
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


def input_of(number: int, at: float, record: dict[str, Any]) -> Input | str:
    """Read a line; words come back as they are, since time decides what they mean."""
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
                f"{', '.join(get_args(Button))}, readings {', '.join(SENSES)}, devices "
                f"{', '.join(DEVICES)}"
            )


def _readings(number: int, readings: dict[str, Any]) -> dict[str, Quantity]:
    found: dict[str, Quantity] = {}
    for name, value in readings.items():
        try:
            key, make = SENSES[name]
            found[key] = _possible(make(float(_number(value))))
        except (KeyError, TypeError, ValueError, OverflowError) as trouble:
            raise LineError(
                f"line {number}: {name} = {value!r} is no reading ({trouble}); readings "
                f"are numbers called {', '.join(SENSES)}"
            ) from trouble
    return found


def _possible(reading: Quantity) -> Quantity:
    """Refuse a pressure below a perfect vacuum; too high a one still closes a valve."""
    least = EXPECTATIONS["suction-pressure"].low
    if isinstance(reading, GaugePressure) and reading.pa < least:
        raise ValueError("below a perfect vacuum")
    return reading


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("not a number")
    return value

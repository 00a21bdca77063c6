"""The look-ups of saturation, and of superheat and subcooling built on it.

Each takes its arguments as typed and gives an answer, or raises ``LookupRefusal`` (the
question has no answer; exit code 1) or ``LookupUsage`` (wrong argument; exit code 2).
The others stand beside it, in the modules whose names begin with ``lookup``.
"""

from pathlib import Path
from typing import get_args

from companion.knowledge.loading import Knowledge
from companion.knowledge.plausible_circuit import SUBCOOLING_F, SUPERHEAT_F
from companion.knowledge.properties import (
    Curve,
    OutsideTable,
    Substance,
    subcooling,
    superheat,
)
from companion.knowledge.quantities import AbsolutePressure, Temperature
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    find_substance,
    shown,
)
from companion.shell.lookup_arguments import (
    SEA_LEVEL,
    absolute_pressure,
    ambient,
    gauge_pressure,
    temperature,
)

SPOKEN_ERROR_K = 0.5  # a table error that a technician would notice

Marked = tuple[Temperature, AbsolutePressure]


def look_up_saturation(
    knowledge: Knowledge,
    designation: str,
    *,
    pressure: str | None = None,
    temperature: str | None = None,
    altitude: str = SEA_LEVEL,
    air: str | None = None,
    plot: str | None = None,
) -> Answer:
    """Give bubble and dew point at a pressure, or both pressures at a temperature.

    Parameters
    ----------
    knowledge
        Everything that is known.
    designation
        The refrigerant.
    pressure, temperature
        Exactly one of them.
    altitude, air
        Where the gauge stands, or the air pressure there.
    plot
        File to draw the curves into; then neither value need be given.

    Raises
    ------
    LookupUsage
        If not exactly one is given, or one is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, or the value is outside its table.
    """
    found = find_substance(knowledge, designation)
    outside = ambient(altitude, air)
    marked: Marked | None = None
    if pressure is not None and temperature is None:
        given = absolute_pressure("--pressure", pressure, outside)
        answer, marked = _at_pressure(knowledge, found, given)
    elif temperature is not None and pressure is None:
        at = _temperature(temperature)
        answer, marked = _at_temperature(knowledge, found, at, outside)
    elif plot is not None and pressure is None:
        text = f"{found.designation}: the curves are drawn."
        answer = Answer(json={"refrigerant": found.designation}, text=text)
    else:
        raise LookupUsage("give either --pressure or --temperature")
    if plot is None:
        return answer
    from companion.shell.plots import plot_saturation

    path = plot_saturation(found, knowledge.properties, outside, marked, Path(plot))
    return Answer(json={**answer.json, "plot": path}, text=answer.text)


def _temperature(text: str) -> Temperature:
    return temperature("--temperature", text)


def _at_pressure(
    knowledge: Knowledge, found: Substance, pressure: AbsolutePressure
) -> tuple[Answer, Marked]:
    points: dict[Curve, Temperature] = {}
    for curve in get_args(Curve):
        point = knowledge.properties.saturation_temperature(found, curve, pressure)
        if isinstance(point, OutsideTable):
            raise LookupRefusal("outside-table", point.reason)
        points[curve] = point
    bubble, dew = points["bubble"], points["dew"]
    json = {
        "refrigerant": found.designation,
        "pressure_kpa_abs": shown(pressure.kpa),
        "bubble_c": shown(bubble.c),
        "dew_c": shown(dew.c),
        "bubble_f": shown(bubble.f),
        "dew_f": shown(dew.f),
        "error_k": shown(found.saturation_error.k),
    }
    text = (
        f"{found.designation} at {pressure.kpa:.0f} kPa absolute: bubble point "
        f"{bubble.f:.1f} F ({bubble.c:.1f} C), dew point {dew.f:.1f} F "
        f"({dew.c:.1f} C). Dew for superheat, bubble for subcooling."
    )
    return Answer(json=json, text=text + _error_text(found)), (dew, pressure)


def _error_text(found: Substance) -> str:
    """Speak of the table's error where it matters."""
    error = found.saturation_error
    if error.k < SPOKEN_ERROR_K:
        return ""
    return f" The table may be off by {error.f:.1f} F here."


def _at_temperature(
    knowledge: Knowledge, found: Substance, at: Temperature, air: AbsolutePressure
) -> tuple[Answer, Marked]:
    points: dict[Curve, AbsolutePressure] = {}
    for curve in get_args(Curve):
        point = knowledge.properties.saturation_pressure(found, curve, at)
        if isinstance(point, OutsideTable):
            raise LookupRefusal("outside-table", point.reason)
        points[curve] = point
    bubble, dew = points["bubble"], points["dew"]
    json = {
        "refrigerant": found.designation,
        "temperature_c": shown(at.c),
        "bubble_kpa_abs": shown(bubble.kpa),
        "dew_kpa_abs": shown(dew.kpa),
        "bubble_psig": shown(bubble.gauge(air).psi),
        "dew_psig": shown(dew.gauge(air).psi),
        "error_pct": shown(found.pressure_error_pct),
    }
    text = (
        f"{found.designation} at {at.f:.1f} F ({at.c:.1f} C): bubble pressure "
        f"{bubble.gauge(air).psi:.1f} psig, dew pressure {dew.gauge(air).psi:.1f} psig."
    )
    return Answer(json=json, text=text + _error_text(found)), (at, bubble)


def _unlikely_text(value_f: float, usual_f: tuple[float, float]) -> str:
    """Say so where a running unit hardly ever shows such a value."""
    low, high = usual_f
    if low <= value_f <= high:
        return ""
    return (
        f" A running unit shows {low:.0f} to {high:.0f} F: read both again, and see "
        "that the refrigerant is right."
    )


def look_up_superheat(
    knowledge: Knowledge,
    designation: str,
    *,
    suction: str,
    line: str,
    altitude: str = SEA_LEVEL,
    air: str | None = None,
) -> Answer:
    """Work out a superheat from suction pressure and suction line temperature.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused, or the pressure is outside its table.
    """
    refrigerant = find_substance(knowledge, designation)
    outside = ambient(altitude, air)
    found = superheat(
        knowledge.properties,
        refrigerant,
        gauge_pressure("--suction", suction, outside),
        temperature("--line", line),
        outside,
        knowledge.limits.reading_errors,
    )
    if isinstance(found, OutsideTable):
        raise LookupRefusal("outside-table", found.reason)
    json = {
        "refrigerant": refrigerant.designation,
        "superheat_k": shown(found.value.k),
        "superheat_f": shown(found.value.f),
        "usual": SUPERHEAT_F[0] <= found.value.f <= SUPERHEAT_F[1],
        "dew_c": shown(found.saturation.c),
        "dew_f": shown(found.saturation.f),
        "uncertainty_k": shown(found.uncertainty.k),
        "uncertainty_f": shown(found.uncertainty.f),
    }
    text = (
        f"Superheat {found.value.f:.0f} F, give or take {found.uncertainty.f:.0f} F; "
        f"the dew point is {found.saturation.f:.1f} F."
        + _unlikely_text(found.value.f, SUPERHEAT_F)
        + _error_text(refrigerant)
    )
    return Answer(json=json, text=text)


def look_up_subcooling(
    knowledge: Knowledge,
    designation: str,
    *,
    liquid: str,
    line: str,
    altitude: str = SEA_LEVEL,
    air: str | None = None,
) -> Answer:
    """Work out a subcooling from liquid pressure and liquid line temperature.

    Raises as :func:`look_up_superheat` does.
    """
    refrigerant = find_substance(knowledge, designation)
    outside = ambient(altitude, air)
    found = subcooling(
        knowledge.properties,
        refrigerant,
        gauge_pressure("--liquid", liquid, outside),
        temperature("--line", line),
        outside,
        knowledge.limits.reading_errors,
    )
    if isinstance(found, OutsideTable):
        raise LookupRefusal("outside-table", found.reason)
    json = {
        "refrigerant": refrigerant.designation,
        "subcooling_k": shown(found.value.k),
        "subcooling_f": shown(found.value.f),
        "usual": SUBCOOLING_F[0] <= found.value.f <= SUBCOOLING_F[1],
        "bubble_c": shown(found.saturation.c),
        "bubble_f": shown(found.saturation.f),
        "uncertainty_k": shown(found.uncertainty.k),
        "uncertainty_f": shown(found.uncertainty.f),
    }
    text = (
        f"Subcooling {found.value.f:.0f} F, give or take {found.uncertainty.f:.0f} F; "
        f"the bubble point is {found.saturation.f:.1f} F."
        + _unlikely_text(found.value.f, SUBCOOLING_F)
        + _error_text(refrigerant)
    )
    return Answer(json=json, text=text)

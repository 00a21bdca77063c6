"""The look-ups of evacuation, of the conditions of a valid test, and of tube contents."""

from typing import Any

from companion.knowledge.equilibrium import (
    EquilibriumError,
    mean_molar_mass,
    mole_fractions,
)
from companion.knowledge.evacuation import evacuation_steps, judge_decay
from companion.knowledge.limits import AirFlow, LimitValue, Seconds
from companion.knowledge.line_charge import tube_content
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import (
    AbsolutePressure,
    Mass,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.shell.blend_model import no_answer, open_equilibrium
from companion.shell.lookup_answer import (
    Answer,
    LookupUsage,
    find_refrigerant,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import (
    absolute_pressure,
    ambient,
    bore,
    choice,
    length,
    minutes,
    temperature,
)

CONDITIONS = (
    "outdoor_min",
    "return_dry_bulb_min",
    "return_dry_bulb_max",
    "airflow_min",
    "running_before_reading",
    "settle_final",
    "settle_maker",
    "superheat_tolerance",
    "superheat_tolerance_rater",
    "subcooling_tolerance",
    "subcooling_tolerance_rater",
    "valve_superheat_min",
    "valve_superheat_max",
    "valve_superheat_min_rater",
    "valve_superheat_max_rater",
    "split_tolerance",
    "saturation_tolerance",
    "superheat_floor",
)
"""What makes a charge test valid and how near to the target it must come."""


def look_up_evacuation(
    knowledge: Knowledge,
    *,
    pulled: str | None = None,
    after: str | None = None,
    held: str | None = None,
    rising: str | None = None,
) -> Answer:
    """Give the steps of an evacuation, or judge a vacuum that was left alone.

    Raises
    ------
    LookupUsage
        If only a part of a decay test is given, or it is of the wrong kind.
    """
    limits = knowledge.limits
    steps = evacuation_steps(limits)
    json: dict[str, Any] = {
        "target_micron": shown(limits.vacuum_target.micron),
        "target_pa": shown(limits.vacuum_target.pa),
        "hold_minutes": shown(limits.vacuum_hold.s / 60),
        "steps": [
            {
                "step": step.id,
                "say": step.say,
                "until_micron": None if step.until is None else step.until.micron,
                "wait_s": None if step.wait is None else step.wait.s,
                "source": source_text(knowledge, step.citation),
            }
            for step in steps
        ],
        "source": source_text(knowledge, limits.citation("vacuum_target")),
    }
    if pulled is None and after is None and held is None:
        text = "\n".join(f"{n}. {step.say}." for n, step in enumerate(steps, 1))
        return Answer(json=json, text=text)
    if pulled is None or after is None or held is None:
        raise LookupUsage("a decay test needs --pulled, --after and --held")
    climbs = choice("--rising", rising, ("yes", "no"))
    found = judge_decay(
        absolute_pressure("--pulled", pulled, ambient("0ft")),
        absolute_pressure("--after", after, ambient("0ft")),
        Seconds(s=60 * minutes("--held", held)),
        limits,
        rising=None if climbs is None else climbs == "yes",
    )
    json |= {"verdict": found.verdict, "passed": found.passed, "reason": found.reason}
    return Answer(json=json, text=f"{found.verdict}: {found.reason}.")


def look_up_conditions(knowledge: Knowledge) -> Answer:
    """Give what makes a charge test valid, and its tolerances, each with its source."""
    limits = knowledge.limits
    rows = [
        {
            "name": name,
            **_value(getattr(limits, name)),
            "why": limits.notes[name].why,
            "source": source_text(knowledge, limits.citation(name)),
        }
        for name in CONDITIONS
    ]
    text = "\n".join(
        f"{row['name'].replace('_', ' ')}: {row['value']:g} {row['unit']} ({row['why']})"
        for row in rows
    )
    return Answer(json={"conditions": rows}, text=text)


def _value(value: LimitValue) -> dict[str, Any]:
    match value:
        case Temperature() | TemperatureDifference():
            return {"value": shown(value.f), "unit": "F"}
        case PressureDifference():
            return {"value": shown(value.psi), "unit": "psi"}
        case Seconds():
            return {"value": shown(value.s / 60), "unit": "min"}
        case AirFlow():
            return {"value": shown(value.cfm_per_ton), "unit": "cfm per ton"}
        case AbsolutePressure():
            return {"value": shown(value.micron), "unit": "micron"}


def look_up_content(
    knowledge: Knowledge,
    designation: str,
    *,
    bore_text: str,
    length_text: str,
    temperature_text: str,
) -> Answer:
    """Give what a tube or hose holds, full of liquid or full of vapor.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the refrigerant is refused or has no liquid at the temperature.
    """
    found = find_refrigerant(knowledge, designation)
    at = temperature("--temperature", temperature_text)
    liquid, vapor = tube_masses(
        knowledge, designation, bore_text, length_text, temperature_text
    )
    json = {
        "refrigerant": found.designation,
        "temperature_c": shown(at.c),
        "liquid_kg": shown(liquid.kg),
        "liquid_oz": shown(liquid.oz),
        "vapor_kg": round(vapor.kg, 6),
        "vapor_oz": shown(vapor.oz),
    }
    text = (
        f"Full of liquid it holds {liquid.oz:.2f} oz ({liquid.kg * 1000:.0f} g) of "
        f"{found.designation}, full of vapor {vapor.kg * 1000:.1f} g."
    )
    return Answer(json=json, text=text)


def tube_masses(
    knowledge: Knowledge,
    designation: str,
    bore_text: str,
    length_text: str,
    temperature_text: str,
) -> tuple[Mass, Mass]:
    """Give a tube's content, of liquid at its bubble and of vapor at its dew point."""
    found = find_refrigerant(knowledge, designation)
    at = temperature("--temperature", temperature_text)
    wide, long = bore("--bore", bore_text), length("--length", length_text)
    equilibrium = open_equilibrium(knowledge, found, at)
    make_up = mole_fractions(list(found.mass_pct.values()), equilibrium.molar_masses)
    molar = mean_molar_mass(make_up, equilibrium.molar_masses)
    try:
        liquid = equilibrium.saturated(0, make_up, at.k).liquid_density * molar
        vapor = equilibrium.saturated(1, make_up, at.k).vapor_density * molar
    except EquilibriumError as error:
        raise no_answer(error) from error
    try:
        return tube_content(liquid, wide, long), tube_content(vapor, wide, long)
    except ValueError as error:
        raise LookupUsage(str(error)) from error

"""The look-ups of what to charge to: superheat and subcooling."""

from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import TemperatureDifference
from companion.knowledge.targets import (
    NameplateNeeded,
    NoGo,
    OutsideTargets,
    Target,
    linear_superheat,
    target_subcooling,
    target_superheat,
)
from companion.shell.lookup_answer import (
    Answer,
    LookupRefusal,
    LookupUsage,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import (
    difference_or_none,
    temperature,
)


def look_up_target_superheat(
    knowledge: Knowledge, *, outdoor: str, wet_bulb: str
) -> Answer:
    """Give the target superheat of a fixed orifice for the weather.

    Raises
    ------
    LookupUsage
        If an argument is no temperature.
    LookupRefusal
        If the table has a dash there, or does not reach there.
    """
    outside, wet = (
        temperature("--outdoor", outdoor),
        temperature("--wet-bulb", wet_bulb),
    )
    found = target_superheat(knowledge.targets, outside, wet)
    rule = linear_superheat(outside, wet)
    if isinstance(found, NoGo | OutsideTargets):
        # What the rule would say, to show that it is no substitute here.
        raise LookupRefusal(found.kind, found.reason, {"linear_rule_f": shown(rule.f)})
    answer = _answer(knowledge, found, knowledge.limits.superheat_tolerance)
    return Answer(
        json={**answer.json, "linear_rule_f": shown(rule.f)}, text=answer.text
    )


def look_up_target_subcooling(
    knowledge: Knowledge, *, nameplate: str | None = None, assume: bool = False
) -> Answer:
    """Give the target subcooling of a valve from the unit's plate.

    Raises
    ------
    LookupUsage
        If the plate's value is no temperature difference, or none a plate prints.
    LookupRefusal
        If no value is given and assuming one was not agreed to.
    """
    plate = difference_or_none("--nameplate", nameplate)
    try:
        found = target_subcooling(knowledge.targets, plate, assume=assume)
    except ValueError as error:
        raise LookupUsage(f"--nameplate: {error}") from error
    if isinstance(found, NameplateNeeded):
        raise LookupRefusal(found.kind, found.reason)
    return _answer(knowledge, found, knowledge.limits.subcooling_tolerance)


def _answer(
    knowledge: Knowledge, target: Target, tolerance: TemperatureDifference
) -> Answer:
    json = {
        "target_f": shown(target.value.f),
        "target_k": shown(target.value.k),
        "tolerance_f": shown(tolerance.f),
        "assumed": target.assumed,
        "source": source_text(knowledge, target.citation),
    }
    assumed = " This is assumed, from memory." if target.assumed else ""
    text = (
        f"Target {target.of} {target.value.f:.0f} F, "
        f"plus or minus {tolerance.f:.0f} F.{assumed}"
    )
    return Answer(json=json, text=text)

"""Judge an answer before it counts: possible, odd, or not to be taken.

Numbers are judged by what is possible for this refrigerant and this moment;
designations by what is supported, and the cylinder's by the unit's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, assert_never, get_args

from companion.job import read
from companion.job.facts import Answer, NameAnswer, NumberAnswer, OptionAnswer
from companion.job.know import Know
from companion.job.last_value import previous
from companion.job.outputs import Value
from companion.job.questions import base_key
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job
from companion.job.weigh_in import target as weigh_in_target
from companion.knowledge.catalogue import NotKnown, OutOfScope, Refrigerant, Unsupported
from companion.knowledge.judgements import Believable, Doubtful, Impossible
from companion.knowledge.plausible import judge
from companion.knowledge.quantities import Mass, Quantity
from companion.knowledge.readings import Item, ReadingContext

_ITEMS: dict[str, Item] = {item: item for item in get_args(Item)}
_MOMENT: tuple[Item, ...] = (
    "suction-pressure",
    "liquid-pressure",
    "suction-line-temperature",
    "liquid-line-temperature",
)
_WEATHER: tuple[Item, ...] = (
    "outdoor-temperature",
    "return-dry-bulb",
    "return-wet-bulb",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """The answer is odd; it is read back as odd and needs a yes.

    ``reason`` is an id, such as ``big-step``.
    """

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refuse:
    """The answer cannot count; ``cue`` and ``values`` say why."""

    reason: str
    cue: Literal["refused", "mismatch"]
    values: Mapping[str, Value] = field(default_factory=dict)


def judge_answer(
    job: Job, know: Know, key: str, answer: Answer
) -> Doubt | Refuse | None:
    """Judge an answer to a question; None means that nothing speaks against it."""
    match answer:
        case NumberAnswer():
            return _judge_number(job, know, key, answer.amount.quantity)
        case NameAnswer(designation=designation):
            return _judge_name(job, know, key, designation)
        case OptionAnswer():
            return None
        case _:
            assert_never(answer)


def _judge_name(job: Job, know: Know, key: str, designation: str) -> Refuse | None:
    found = know.knowledge.catalogue.get(designation)
    match found:
        case Unsupported() | OutOfScope() | NotKnown():
            return Refuse(
                reason=found.kind, cue="refused", values={"reason": _name_reason(found)}
            )
        case Refrigerant():
            pass
        case _:
            assert_never(found)
    unit = read.name(job, "unit-refrigerant")
    if key == "cylinder-refrigerant" and unit is not None and unit != found.designation:
        return Refuse(
            reason="mismatch",
            cue="mismatch",
            values={"cylinder": found.designation, "unit": unit},
        )
    return None


def _name_reason(found: Unsupported | OutOfScope | NotKnown) -> str:
    """Give the id of why a name is refused: a refrigerant out of scope has its own."""
    return found.designation if isinstance(found, OutOfScope) else found.kind


def _judge_number(
    job: Job, know: Know, key: str, value: Quantity
) -> Doubt | Refuse | None:
    item = _ITEMS.get(base_key(key))
    if item is None:
        return None
    if key == FIRST_WEIGHT and _too_light(job, value):
        return Refuse(
            reason="cylinder-too-light",
            cue="refused",
            values={"reason": "cylinder-too-light"},
        )
    odd = _beside_the_plate(job, key, value)
    if odd is not None:
        return odd
    found = judge(item, value, _context(job, know, key, item))
    match found:
        case Believable():
            return None
        case Doubtful(reason_id=reason_id):
            return Doubt(reason=reason_id)
        case Impossible(reason_id=reason_id):
            return Refuse(reason=reason_id, cue="refused", values={"reason": reason_id})
        case _:
            assert_never(found)


FIRST_WEIGHT = "cylinder-weight#0"
"""The cylinder's weight before anything was drawn."""


ADDER_SHARE = 0.5
"""A line set that takes more than this share of the plate's charge is asked about
again. Our own value."""


def _beside_the_plate(job: Job, key: str, value: Quantity) -> Doubt | None:
    """Doubt a mass that does not go with the charge on the plate."""
    plate = read.mass(job, "factory-charge")
    if plate is None or not isinstance(value, Mass):
        return None
    if key == "charge-adder" and value.kg > ADDER_SHARE * plate.kg:
        return Doubt(reason="adder-large")
    before = read.mass(job, FIRST_WEIGHT)
    charge = (weigh_in_target(job) or plate).kg
    if key.startswith("cylinder-weight#") and before is not None:
        return (
            Doubt(reason="more-than-plate") if before.kg - value.kg > charge else None
        )
    return None


def _too_light(job: Job, value: Quantity) -> bool:
    """Tell whether the whole cylinder weighs less than the charge to weigh in."""
    goal = weigh_in_target(job)
    if job.method is None or job.method.stop_by != "weight" or goal is None:
        return False
    return isinstance(value, Mass) and value.kg <= goal.kg


def _context(job: Job, know: Know, key: str, item: Item) -> ReadingContext:
    last: dict[Item, Quantity] = {}
    before = previous(job, key)
    if before is not None:
        last[item] = before.quantity
    return ReadingContext(
        properties=know.knowledge.properties,
        refrigerant=unit_refrigerant(job, know),
        ambient=read.ambient(job),
        running=read.running(job) or read.option(job, "unit-running") == "yes",
        last=last,
        others=_others(job, key),
    )


def _others(job: Job, key: str) -> dict[Item, Quantity]:
    _, found, number = key.rstrip("bc").partition("@")
    found_items: dict[Item, Quantity] = {}
    if found:
        for item in _MOMENT:
            value = _value(job, f"{item}@{number}")
            if value is not None and not key.startswith(item):
                found_items[item] = value
    for item in _WEATHER:
        value = _value(job, item)
        if value is not None and key != item:
            found_items[item] = value
    return found_items


def _value(job: Job, key: str) -> Quantity | None:
    answer = job.answers.get(key)
    return answer.amount.quantity if isinstance(answer, NumberAnswer) else None

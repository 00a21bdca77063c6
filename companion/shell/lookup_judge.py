"""The look-ups that judge a written value by the published criteria."""

from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.criteria import (
    Judge,
    judge_split,
    judge_subcooling,
    judge_superheat,
    outdoor_valid,
    saturation_agrees,
    valve_works,
)
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import TemperatureDifference
from companion.shell.lookup_answer import (
    Answer,
    LookupUsage,
    shown,
    source_text,
)
from companion.shell.lookup_arguments import (
    choice,
    difference,
    temperature,
)

KINDS = ("superheat", "subcooling", "valve", "split", "outdoor", "saturation")
"""What can be judged: ``valve`` is an expansion valve by its superheat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgeArguments:
    """The arguments of the look-up, as typed; None where left out."""

    what: str
    actual: str
    target: str | None = None
    by: str | None = None


def look_up_judge(knowledge: Knowledge, arguments: JudgeArguments) -> Answer:
    """Judge a value by the criteria of a charge test.

    Raises
    ------
    LookupUsage
        If an argument is missing or of the wrong kind.
    """
    what = choice("WHAT", arguments.what, KINDS)
    by: Judge = choice("--by", arguments.by, get_args(Judge)) or "installer"
    limits = knowledge.limits
    rater = "_rater" if by == "rater" else ""
    actual = arguments.actual
    match what:
        case "superheat":
            heat = _pair(arguments)
            verdict: str = judge_superheat(*heat, limits, by)
            limit = f"superheat_tolerance{rater}"
        case "subcooling":
            verdict = judge_subcooling(*_pair(arguments), limits, by)
            limit = f"subcooling_tolerance{rater}"
        case "valve":
            works = valve_works(difference("--actual", actual), limits, by)
            verdict, limit = "pass" if works else "fail", f"valve_superheat_max{rater}"
        case "split":
            verdict, limit = judge_split(*_pair(arguments), limits), "split_tolerance"
        case "outdoor":
            valid = outdoor_valid(temperature("--actual", actual), limits)
            verdict, limit = "valid" if valid else "not-valid", "outdoor_min"
        case _:
            written = temperature("--target", _target(arguments))
            agrees = saturation_agrees(written, temperature("--actual", actual), limits)
            verdict, limit = "pass" if agrees else "fail", "saturation_tolerance"
    json: dict[str, Any] = {
        "what": what,
        "by": by,
        "verdict": verdict,
        "means": MEANS[verdict],
        "limit_f": shown(getattr(limits, limit).f),
        "source": source_text(knowledge, limits.citation(limit)),
    }
    return Answer(json=json, text=f"{verdict}: {MEANS[verdict]}.")


MEANS = {
    "pass": "within its tolerance",
    "fail": "outside its tolerance",
    "add": "short of charge by this sign; look for other faults, then add",
    "remove": "too much by this sign; recover some",
    "low-capacity": "air flow passes once measured again, but the capacity is in doubt",
    "low-airflow": "too little air; no charge can be judged",
    "valid": "warm enough for the charge test",
    "not-valid": "too cold for the charge test; weigh the charge in",
}
"""What each verdict means, in words."""


def _target(arguments: JudgeArguments) -> str:
    if arguments.target is None:
        raise LookupUsage("--target is needed")
    return arguments.target


def _pair(
    arguments: JudgeArguments,
) -> tuple[TemperatureDifference, TemperatureDifference]:
    return (
        difference("--actual", arguments.actual),
        difference("--target", _target(arguments)),
    )

"""The questions of a job, other than its checklist steps.

A question has a key (its answer's name), an expectation, and a rule for reading back.
Readings that are taken again and again carry their round in the key, as in
``suction-pressure@2``; weights of a weigh-in carry the opening, ``cylinder-weight#1``.
"""

from dataclasses import dataclass
from typing import Literal

Confirm = Literal["always", "unless-sure", "never"]
"""When an answer is read back and waits for a yes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question.

    Attributes
    ----------
    key
        Name of the answer, without round.
    expects
        Id of its expectation.
    confirm
        Whether the answer is read back and must be confirmed.
    """

    key: str
    expects: str
    confirm: Confirm


def _question(
    key: str, expects: str = "", confirm: Confirm = "unless-sure"
) -> Question:
    return Question(key=key, expects=expects or key, confirm=confirm)


_ALL = (
    _question("unit-refrigerant", "refrigerant", "always"),
    _question("metering"),
    _question("unit-state"),
    _question("critical-charge", "yes-no"),
    _question("factory-charge"),
    _question("charge-adder"),
    _question("target-subcooling"),
    _question("cylinder-refrigerant", "refrigerant", "always"),
    _question("dip-tube", "yes-no"),
    _question("restrictor", "yes-no"),
    _question("scale", "yes-no"),
    _question("leak-state"),
    _question("loss"),
    _question("outdoor-temperature"),
    _question("return-wet-bulb"),
    _question("method-agreed", "done", "never"),
    _question("suction-pressure"),
    _question("suction-line-temperature"),
    _question("liquid-pressure"),
    _question("liquid-line-temperature"),
    _question("cylinder-weight"),
    _question("cylinder-valve-shut", "yes-no", "never"),
    _question("cylinder-valve-open", "yes-no", "never"),
    _question("unit-running", "yes-no", "never"),
    _question("ready", "ready", "never"),
    _question("fully-shut", "yes-no", "never"),
    _question("flow-checked", "done", "never"),
    _question("low-side-hose", "done", "never"),
    _question("long-hose", "yes-no"),
)

QUESTIONS = {each.key: each for each in _ALL}
"""Every question by its key."""

READINGS = (
    "suction-pressure",
    "suction-line-temperature",
    "liquid-pressure",
    "liquid-line-temperature",
)
"""The four gauge and clamp readings, in the order they are asked for."""


def base_key(key: str) -> str:
    """Give a key without its round or opening."""
    return key.split("@", maxsplit=1)[0].split("#", maxsplit=1)[0]

"""What the filter of JSON lines takes and gives, for those who drive it from outside.

Ids and shapes come from the engine itself; sentences and the words that are understood
come from the wording of the technician's language.
"""

from collections.abc import Iterable
from typing import Any, assert_never, cast, get_args

from checklists import AskStep, DoStep, Step
from companion.job.amounts import AmountKind
from companion.job.cue_meanings import ACTS, MEANINGS
from companion.job.cues import CUES
from companion.job.expectations import ALWAYS, EXPECTATIONS, Expectation
from companion.job.facts import FACT_TYPES
from companion.job.inputs import DEVICES, Button, ControlWord
from companion.job.know import Know
from companion.job.outputs import Lamp, Pattern, ToneName
from companion.job.pulses import printed_table
from companion.job.questions import QUESTIONS
from companion.shell.line_reading import SENSES
from companion.shell.wording import Wording
from speech import shipped_phrases

_UNITS: dict[AmountKind, str] = {
    "gauge-pressure": "Pa",
    "absolute-pressure": "Pa",
    "temperature": "K",
    "temperature-difference": "K",
    "mass": "kg",
    "length": "m",
    "volume": "m3",
}
"""Unit of ``si``, ``low`` and ``high`` by kind of number."""

_INPUTS = {
    "at": "seconds from 0 on the job's own time line; times go up",
    "hear": "words, as they were said or typed",
    "press": "one of buttons",
    "sense": "object of readings, each a number in the unit of its name",
    "lost": "one of devices",
    "found": "one of devices",
    "tick": "anything: time has passed; due at deadline of the line before",
}
_OUTPUTS = {
    "say": "a sentence, with cue (one of cues), its values, and urgent",
    "light": "one of lights, with pattern (one of patterns)",
    "tone": "one of tones",
    "ask": "one of expectations: what an answer is taken for from now on",
    "fact": "one of facts, with its keys; it is recorded",
    "error": "the input line could not be used as it stands, and why",
    "report": "what was found wrong with the journal of --job, and what became of it",
    "done": "number of the input line; deadline is when a tick is due, or null",
}


def describe(know: Know, wording: Wording) -> dict[str, Any]:
    """Give every cue, expectation, fact, question, step, word and button."""
    tables = wording.tables
    return {
        "inputs": dict(_INPUTS),
        "outputs": dict(_OUTPUTS),
        "cues": {cue: list(values) for cue, values in CUES.items()},
        "expectations": {each.id: _expected(each) for each in EXPECTATIONS.values()},
        "facts": {
            fact.__dataclass_fields__["kind"].default: [
                name for name in fact.__dataclass_fields__ if name != "kind"
            ]
            for fact in cast("Iterable[Any]", FACT_TYPES)
        },
        "questions": {
            key: {"expects": each.expects, "say": tables.questions.get(key, "")}
            for key, each in QUESTIONS.items()
        },
        "steps": {
            f"{each.id}/{step.id}": _step(step)
            for each in know.checklists.values()
            for step in each.steps
        },
        "words": {
            **{
                each: list(said)
                for each, said in shipped_phrases(wording.language.id).controls.items()
                if each in get_args(ControlWord)
            },
            **{option: list(said) for option, said in tables.phrases.items()},
        },
        "always": list(ALWAYS),
        "acts": dict(ACTS),
        "meanings": dict(MEANINGS),
        "outcomes": dict(tables.outcomes),
        "lights": list(get_args(Lamp)),
        "patterns": list(get_args(Pattern)),
        "tones": list(get_args(ToneName)),
        "buttons": list(get_args(Button)),
        "devices": list(DEVICES),
        "readings": list(SENSES),
        "valve": printed_table().splitlines(),
    }


def _expected(each: Expectation) -> dict[str, Any]:
    return {
        "number": each.of,
        "unit": None if each.of is None else _UNITS[each.of],
        "low": each.low if each.of else None,
        "high": each.high if each.of else None,
        "options": list(each.options),
        "names": each.names,
        "controls": list(each.controls),
    }


def _step(step: Step) -> dict[str, Any]:
    match step:
        case DoStep():
            told = {"expects": "done", "good": "done", "otherwise": None}
        case AskStep():
            good, otherwise = step.good, step.otherwise
            told = {"expects": "yes-no", "good": good, "otherwise": otherwise}
        case _:
            assert_never(step)
    return {"say": step.say, **told}

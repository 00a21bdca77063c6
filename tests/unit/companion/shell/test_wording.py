"""Every cue, question, option and outcome has words, and they say the right units."""

import re
import tomllib
from importlib.resources import files
from typing import Any, get_args

import pytest

from companion.job.amounts import Amount, amount
from companion.job.controls import word_at
from companion.job.cues import CUES
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import CloseReason, MethodId
from companion.job.outputs import Say, Value
from companion.job.plan import PHASES
from companion.job.questions import QUESTIONS
from companion.job.state import Closed, Closing, Open, Opening
from companion.knowledge.findings import FindingId
from companion.knowledge.quantities import (
    GaugePressure,
    Mass,
    Temperature,
    TemperatureDifference,
)
from companion.shell.wording import FILE, Wording, WordingError, read_wording

TEXT = (files("companion.shell") / "data" / FILE).read_text(encoding="utf-8")
PSI = amount(GaugePressure.from_psi(118.5))
SAMPLES: dict[str, Value] = {
    "key": "suction-pressure",
    "answer": PSI,
    "seconds": 75,
    "number": 3,
    "top": PSI,
    "stop": amount(Mass.from_oz(212)),
    "added": amount(Mass.from_oz(10)),
    "left": amount(Mass.from_oz(2)),
    "superheat": amount(TemperatureDifference.from_f(13)),
    "subcooling": amount(TemperatureDifference.from_f(10)),
    "spread": amount(TemperatureDifference.from_f(2)),
    "target": amount(TemperatureDifference.from_f(10)),
}


@pytest.fixture(scope="module")
def si() -> Wording:
    return read_wording("si")


@pytest.mark.parametrize("cue", CUES)
def test_every_cue_has_a_sentence(wording: Wording, cue: str) -> None:
    values = {name: SAMPLES.get(name, "some words") for name in CUES[cue]}
    line = wording.line(Say(cue=cue, values=values))
    for text in (line.text, line.speech):
        assert text == " ".join(text.split())
        assert not re.search(r"[{}|_]", text)
        assert text


CLOSED = (
    "Job closed: charged to the target and proved. Mass that left the cylinder: not "
    "known. The record is written."
)
LINES = [
    # cue, values -> printed, spoken
    (
        "read-back",
        {"key": "suction-pressure", "answer": PSI},
        "Suction: 118.5 psig. Affirmative or negative?",
        "Suction: one one eight decimal five p s i. Affirmative or negative?",
    ),
    (
        "heard",
        {"key": "unit-state", "answer": "off-charged"},
        "Unit state: off with a charge.",
        "Unit state: off with a charge.",
    ),
    (
        "heard",
        {"key": "outdoor-temperature", "answer": amount(Temperature.from_f(-4))},
        "Outdoor: -4 F.",
        "Outdoor: negative four Fahrenheit.",
    ),
    (
        "judged",
        {
            "superheat": amount(TemperatureDifference.from_f(13)),
            "subcooling": amount(TemperatureDifference.from_f(9.6)),
        },
        "Superheat 13 F, subcooling 10 F.",
        "Superheat 13 degrees, subcooling 10 degrees.",
    ),
    (
        "wait-settle",
        {"seconds": 75},
        "Let it settle for 75 seconds. I will tell you when.",
        "Let it settle for 75 seconds. I will tell you when.",
    ),
    (
        "wait-final",
        {"seconds": 900},
        "Let it run for 15 minutes, then we read again. I will tell you when.",
        "Let it run for 15 minutes, then we read again. I will tell you when.",
    ),
    (
        "ask",
        {"key": "factory-charge"},
        "Factory charge on the nameplate, in oz?",
        "Factory charge on the nameplate, in ounces?",
    ),
    (
        "finished",
        {"outcome": "target", "added": None},
        CLOSED,
        CLOSED,
    ),
    (
        "step",
        {"caution": "", "say": "Do it."},
        "Do it.",
        "Do it.",
    ),
]


@pytest.mark.parametrize(("cue", "values", "text", "speech"), LINES)
def test_a_cue_and_its_values_are_a_sentence(
    wording: Wording, cue: str, values: dict[str, Any], text: str, speech: str
) -> None:
    line = wording.line(Say(cue=cue, values=values))
    assert (line.text, line.speech) == (text, speech)


def test_a_designation_is_spoken_with_its_letter_spelled(wording: Wording) -> None:
    line = wording.line(
        Say(cue="mismatch", values={"cylinder": "R-22", "unit": "R-410A"})
    )
    assert "R-410A" in line.text
    assert "R-" not in line.speech
    assert "alpha" in line.speech


def test_units_are_the_technicians(si: Wording) -> None:
    line = si.line(Say(cue="heard", values={"key": "suction-pressure", "answer": PSI}))
    assert line.text == "Suction: 8.2 bar gauge."
    assert line.speech == "Suction: eight decimal two bar."
    asked = si.line(Say(cue="ask", values={"key": "cylinder-weight"}))
    assert "in kilograms?" in asked.speech


@pytest.mark.parametrize("reason", get_args(CloseReason))
def test_a_close_call_begins_with_the_word(wording: Wording, reason: str) -> None:
    """Urgent speech may be cut short by the next: the word that counts comes first."""
    speech = wording.line(Say(cue=f"close-{reason}")).speech
    assert "Close" in speech.split(".")[0 if reason != "restart" else 1]
    assert "lose the valve now" in speech


def table(name: str) -> dict[str, Any]:
    return tomllib.loads(TEXT)[name]


def test_every_question_has_a_sentence_a_label_and_a_reason() -> None:
    for name in ("questions", "labels", "whys"):
        assert set(QUESTIONS) <= set(table(name)), name


def test_every_expectation_has_help_and_every_option_a_phrase_and_a_name() -> None:
    assert set(EXPECTATIONS) <= set(table("help"))
    options = {o for each in EXPECTATIONS.values() for o in each.options}
    assert options <= set(table("phrases"))
    assert options - {"finish"} <= set(table("options"))


def test_every_phase_state_and_method_has_a_name() -> None:
    assert {name for name, _ in PHASES} | {"finished"} <= set(table("phases"))
    states = {
        each.__dataclass_fields__["kind"].default
        for each in (Closed, Opening, Open, Closing)
    }
    assert states == set(table("valves"))
    assert set(get_args(MethodId)) == set(table("methods"))
    assert word_at is not None
    assert {"answer", "asked", "noise", "step", "method"} == set(table("halts"))


ENDINGS = {
    "target",
    "already-full",
    "weighed-in",
    "weighed-in-unproven",
    "weigh-in-short",
    "no-weight",
    "over-weight",
    "ended-early",
    "not-charged",
    "too-many-openings",
    "outside-table",
    "no-target",
    "no-effect",
    "undecided",
}


def test_every_way_a_job_can_end_has_words() -> None:
    assert ENDINGS | set(get_args(FindingId)) <= set(table("outcomes"))


BROKEN = [
    ("", "cues"),
    ("[cues", "cannot be used"),
    (TEXT.replace('noted = "Noted."\n', "", 1), "no sentence for cue noted"),
    (TEXT.replace("[cues]", '[cues]\nmoon = "Moon."', 1), "cue moon is not known"),
    (TEXT.replace('"Noted."', '"Noted {key}."', 1), "cue noted has no value key"),
    (
        TEXT.replace('ask = "{key|questions}"', 'ask = "{key|riddles}"', 1),
        "names a table riddles that is not there",
    ),
    (TEXT + '\n[extra]\na = "b"\n', "extra"),
    (TEXT.replace('noted = "Noted."', "noted = 3", 1), "noted"),
]


@pytest.mark.parametrize(("text", "message"), BROKEN)
def test_a_broken_table_names_its_faults(text: str, message: str) -> None:
    with pytest.raises(WordingError, match=message):
        read_wording("us", text)


def test_all_faults_are_named_at_once() -> None:
    text = TEXT.replace('noted = "Noted."\n', "", 1)
    text = text.replace("[cues]", '[cues]\nmoon = "Moon."', 1)
    with pytest.raises(WordingError, match=r"noted.*moon"):
        read_wording("us", text)


@pytest.mark.parametrize(
    ("value", "text"),
    [(None, "not known"), (3, "3"), (2.5, "2.5"), ("odd words", "odd words")],
)
def test_other_values(wording: Wording, value: Value, text: str) -> None:
    for spoken in (True, False):
        assert wording.value(value, spoken=spoken) == text


def test_a_difference_in_pressure_units_is_not_confused(wording: Wording) -> None:
    difference = Amount(of="temperature-difference", si=5.0)
    assert wording.value(difference, spoken=False) == "9 F"

"""What each manner of speaking leaves out, and what none of them may."""

import pytest

from companion.job.amounts import amount
from companion.job.cues import CUES
from companion.job.outputs import Say, Value
from companion.knowledge.quantities import GaugePressure, TemperatureDifference
from companion.shell.verbosity import CAREFUL, SPOKEN_IN_TONES, Speaking, Verbosity
from companion.shell.wording import Wording, read_wording
from speech import LANGUAGES, LanguageId

PSI = amount(GaugePressure.from_psi(118))
READ_BACK: dict[str, Value] = {"key": "suction-pressure", "answer": PSI}


def spoken(cue: str, values: dict[str, Value], speaking: Speaking) -> str:
    say = Say(cue=cue, values=values, urgent=cue.startswith("close"))
    return read_wording("us", speaking=speaking).line(say).speech


def filled(cue: str) -> dict[str, Value]:
    numbers = {"answer", "top", "stop", "added", "left", "target", "said", "sensed"}
    return {name: PSI if name in numbers else "yes" for name in CUES[cue]}


@pytest.mark.parametrize("verbosity", ["full", "brief", "tones"])
@pytest.mark.parametrize("cue", sorted(CAREFUL))
def test_a_value_that_waits_for_a_yes_is_said_digit_by_digit_with_its_unit(
    cue: str, verbosity: Verbosity
) -> None:
    speaking = Speaking(verbosity=verbosity, digits="whole", units=False)
    assert "one one eight p s i" in spoken(cue, filled(cue), speaking)


@pytest.mark.parametrize("language", list(LANGUAGES))
@pytest.mark.parametrize("verbosity", ["brief", "tones"])
@pytest.mark.parametrize("cue", [cue for cue in CUES if cue.startswith("close")])
def test_close_calls_are_spoken_whole(
    cue: str, verbosity: Verbosity, language: LanguageId
) -> None:
    say = Say(cue=cue, urgent=True)
    manner = Speaking(verbosity=verbosity)
    short = read_wording("us", language=language, speaking=manner).line(say)
    assert short.speech == read_wording("us", language=language).line(say).speech


def test_brief_says_less_and_prints_the_same(wording: Wording) -> None:
    brief = read_wording("us", speaking=Speaking(verbosity="brief"))
    for cue in brief.tables.brief:
        say = Say(cue=cue, values=filled(cue))
        full, short = wording.line(say), brief.line(say)
        assert short.text == full.text
        assert len(short.speech) <= len(full.speech)


def test_tones_leave_the_question_to_the_screen_but_say_the_caution() -> None:
    manner = Speaking(verbosity="tones")
    assert spoken("ask", {"key": "suction-pressure"}, manner) == ""
    assert spoken("noted", {}, manner) == ""
    step: dict[str, Value] = {"caution": "It burns.", "say": "Put it on."}
    assert spoken("step", step, manner) == "It burns."
    top = {"number": 1, "top": PSI, "hint": "less", "open_seconds": 4.0}
    assert "one one eight p s i" in spoken("ready-pulse", top, manner)


@pytest.mark.parametrize("cue", sorted(SPOKEN_IN_TONES))
def test_what_safety_needs_is_spoken_in_tones(cue: str) -> None:
    assert spoken(cue, filled(cue), Speaking(verbosity="tones"))


@pytest.mark.parametrize(
    ("speaking", "said"),
    [
        (Speaking(), "Suction: one one eight p s i."),
        (Speaking(digits="whole"), "Suction: 118 p s i."),
        (Speaking(units=False), "Suction: one one eight."),
        (Speaking(digits="whole", units=False), "Suction: 118."),
    ],
)
def test_digits_and_units(speaking: Speaking, said: str) -> None:
    assert spoken("heard", READ_BACK, speaking) == said


def test_a_difference_is_said_as_one_number() -> None:
    values: dict[str, Value] = {"superheat": amount(TemperatureDifference.from_f(12))}
    assert spoken("judged-superheat", values, Speaking()) == "Superheat 12 degrees."

"""Spanish beside English: the same keys and places, all of it speakable."""

import re
from importlib.resources import files

import pytest

from companion.job.amounts import amount
from companion.job.cues import CUES
from companion.job.expectations import EXPECTATIONS
from companion.job.outputs import Say, Value
from companion.knowledge.quantities import GaugePressure, Mass
from companion.shell.units import UNITS
from companion.shell.wording import (
    FILES,
    Wording,
    WordingError,
    left_behind,
    read_wording,
)
from speech import SPANISH, Choice, Vocabulary, understand
from speech.language import always_said

TEXT = (files("companion.shell") / "data" / FILES["es"]).read_text(encoding="utf-8")
PLACES = re.compile(r"\{[^}]*\}")
PSI = amount(GaugePressure.from_psi(118.5))


@pytest.fixture(scope="module")
def spanish() -> Wording:
    return read_wording("us", language="es")


def test_both_languages_have_the_same_keys_and_places(
    spanish: Wording, wording: Wording
) -> None:
    for table, rows in wording.tables.model_dump().items():
        if table == "units":
            continue
        other = getattr(spanish.tables, table)
        assert set(rows) == set(other), table
        for key, sentence in rows.items():
            if isinstance(sentence, str):
                here, there = PLACES.findall(sentence), PLACES.findall(other[key])
                assert sorted(here) == sorted(there), f"{table}.{key}"


def test_a_missing_sentence_is_named_with_its_english() -> None:
    text = TEXT.replace('denied = "Retirado."\n', "", 1)
    with pytest.raises(
        WordingError, match=r"no sentence for cue denied.*'Taken back\.'"
    ):
        read_wording("us", text, language="es")


def test_a_row_that_english_lacks_is_named() -> None:
    text = TEXT.replace("[valves]", '[valves]\nstuck = "atascada"', 1)
    with pytest.raises(WordingError, match=r"\[valves\] stuck is not in the English"):
        read_wording("us", text, language="es")


def test_above_each_sentence_stands_the_english_it_was_made_from() -> None:
    """When this fails, look at the English again, and change both lines of the row."""
    assert left_behind("es") == []


@pytest.mark.parametrize("cue", CUES)
def test_every_cue_is_a_sentence(spanish: Wording, cue: str) -> None:
    samples: dict[str, Value] = {
        "key": "suction-pressure",
        "answer": PSI,
        "top": PSI,
        "stop": amount(Mass.from_oz(212)),
        "seconds": 75,
        "number": 3,
    }
    values = {name: samples.get(name, "algo") for name in CUES[cue]}
    line = spanish.line(Say(cue=cue, values=values))
    for text in (line.text, line.speech):
        assert text == " ".join(text.split())
        assert not re.search(r"[{}|_]", text)
        assert text
        assert text.count("¿") == text.count("?")


def test_no_english_is_left_in_a_sentence(spanish: Wording) -> None:
    words = re.compile(r"\b(the|and|valve|close|open|say|not|with|is|of)\b")
    tables = spanish.tables.model_dump()
    for table in ("cues", "questions", "labels", "whys", "help", "outcomes", "brief"):
        for key, sentence in tables[table].items():
            plain = PLACES.sub("", sentence).lower()
            assert not words.search(plain), f"{table}.{key}: {sentence}"


def test_every_unit_has_a_name(spanish: Wording) -> None:
    for unit in UNITS.values():
        assert unit.spoken in spanish.tables.units


@pytest.mark.parametrize(
    "expected", [each for each in EXPECTATIONS.values() if each.options]
)
def test_every_option_is_understood_by_each_of_its_phrases(
    spanish: Wording, expected
) -> None:
    phrases = spanish.tables.phrases
    asked = Vocabulary(
        choices={each: tuple(phrases[each]) for each in expected.options}
    )
    for option in expected.options:
        for phrase in phrases[option]:
            assert always_said(SPANISH.tokens(phrase), SPANISH) is None
            found = understand(phrase, asked, language=SPANISH)
            assert found == Choice(option=option)


@pytest.mark.parametrize("help_key", sorted(EXPECTATIONS))
def test_what_help_says_to_say_is_understood(spanish: Wording, help_key: str) -> None:
    """Each phrase that a help sentence offers for an option is one that counts."""
    sentence = spanish.tables.help[help_key].lower()
    for option in EXPECTATIONS[help_key].options:
        said = spanish.tables.phrases[option]
        assert any(each in sentence for each in said), option

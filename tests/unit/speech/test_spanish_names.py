"""Spanish designations both ways: all of the catalogue, in every form."""

import pytest

from companion.shell.knowledge_files import read_knowledge
from speech.names import Ambiguous, Name
from speech.spanish_names import name_forms, name_spoken, parse_name

NAMES = read_knowledge().catalogue.designations
SAID = [
    ("R cuatro diez A", "R-410A"),
    ("erre cuatro uno cero alfa", "R-410A"),
    ("refrigerante cuatrocientos diez a", "R-410A"),
    ("ciento treinta y cuatro a", "R-134a"),
    ("uno treinta y cuatro a de alfa", "R-134a"),
    ("cuatro cero siete ce", "R-407C"),
    ("doce treinta y cuatro i griega efe", "R-1234yf"),
    ("doce treinta y cuatro yanqui foxtrot", "R-1234yf"),
    ("veintidós", "R-22"),
    ("R-454B", "R-454B"),
    ("454b", "R-454B"),
]


def test_every_form_of_every_designation_parses_back() -> None:
    wrong = [
        (name, form)
        for name in NAMES
        for form in (name_spoken(name), *name_forms(name, NAMES))
        if parse_name(form, NAMES) != Name(designation=name)
    ]
    assert len(NAMES) > 100
    assert wrong == []


@pytest.mark.parametrize(("words", "name"), SAID)
def test_what_people_say(words: str, name: str) -> None:
    assert parse_name(words, NAMES) == Name(designation=name)


def test_a_number_without_its_letter_is_never_completed() -> None:
    found = parse_name("erre cuatro diez", NAMES)
    assert isinstance(found, Ambiguous)
    assert set(found.candidates) == {"R-410A", "R-410B"}


@pytest.mark.parametrize(
    "words", ["", "r", "hola", "cuatro diez a hola", "uno uno uno uno uno"]
)
def test_what_is_no_designation(words: str) -> None:
    assert parse_name(words, NAMES) is None


@pytest.mark.parametrize(
    ("name", "spoken"),
    [
        ("R-410A", "R cuatro diez A de alfa"),
        ("R-407C", "R cuatro cero siete C de charlie"),
        ("R-22", "R dos dos"),
        ("R-1234yf", "R uno dos tres cuatro Y de yanqui, F de foxtrot"),
    ],
)
def test_read_back(name: str, spoken: str) -> None:
    assert name_spoken(name) == spoken

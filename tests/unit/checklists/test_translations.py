"""Translated lists: complete, of the revision they were made from, and speakable."""

from pathlib import Path

import pytest

from checklists import ChecklistFilesError, load_all, load_translated
from checklists.loader import Checklists
from checklists.model import Checklist, DoStep

SHIPPED = Path(__file__).resolve().parents[3] / "checklists" / "data" / "es"


def test_every_list_and_step_is_there_in_spanish_and_nothing_else_changed() -> None:
    for english, spanish in zip(load_all(), load_translated("es"), strict=True):
        assert (english.id, english.revision) == (spanish.id, spanish.revision)
        for one, other in zip(english.steps, spanish.steps, strict=True):
            assert one.say != other.say
            assert one.why != other.why
            texts = {"say", "why", "caution", "remedy"}
            assert one.model_dump(exclude=texts) == other.model_dump(exclude=texts)
            assert (one.caution is None) == (other.caution is None)


def test_english_is_as_it_is_shipped() -> None:
    assert load_translated("en").lists == load_all().lists


def raised(one: Checklist) -> Checklists:
    return Checklists(lists=(one.model_copy(update={"revision": one.revision + 1}),))


def test_a_stale_translation_is_refused_by_name() -> None:
    after = load_all()["after"]
    with pytest.raises(ChecklistFilesError, match=r"made from revision 2.*is at 3"):
        load_translated("es", raised(after))


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("[steps.cylinder-stowed]", "[steps.other]", "cylinder-stowed: is missing"),
        ("[steps.cylinder-stowed]", "[steps.other]", "step other: no such step"),
        ("caution = ", "remedy = ", "caution: is missing"),
        ("lejos del calor.", "lejos del calor", "must end with '.'"),
        ("¿Hay fecha", "Hay fecha", "has a ¿"),
        ("lejos del calor.", "lejos: del calor.", "letters, digits, commas"),
        ("lejos del calor.", f"{'lejos ' * 30}del calor.", "at most 30"),
        ("id = ", "name = ", "name: Extra inputs"),
        ("revision = 2", "revision = ", "not TOML"),
    ],
)
def test_each_fault_is_named(tmp_path: Path, old: str, new: str, fault: str) -> None:
    after = Checklists(lists=(load_all()["after"],))
    text = (SHIPPED / "after.toml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "after.toml").write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(ChecklistFilesError) as refusal:
        load_translated("es", after, tmp_path)
    assert fault in str(refusal.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(ChecklistFilesError, match=r"es/after\.toml: is missing"):
        load_translated("es", load_all(), tmp_path)


def test_do_steps_stay_do_steps() -> None:
    kinds = [
        isinstance(step, DoStep) for one in load_translated("es") for step in one.steps
    ]
    assert any(kinds)
    assert not all(kinds)

from datetime import date
from pathlib import Path

import pytest

from checklists.loader import ChecklistFilesError, load_all
from checklists.model import ChecklistError, Condition

DATA = Path(__file__).parents[2] / "data"

FAULTS = [
    (
        "no-steps.toml",
        None,
        "id: is 'other-name', but the file's name makes it 'no-steps'",
    ),
    ("no-steps.toml", None, "revision: Input should be greater than 0"),
    ("no-steps.toml", None, "review_by: is missing"),
    ("no-steps.toml", None, "steps: must hold at least one step"),
    ("no-steps.toml", None, "reviewed_by: is not known; perhaps 'review_by'"),
    (
        "not-toml.toml",
        None,
        "not TOML: Illegal character '\\n' (at line 1, column 15)",
    ),
    ("steps.toml", "twice", "id: 2 steps have this id"),
    ("steps.toml", None, "revision: Input should be a valid integer"),
    ("steps.toml", None, "purpose: must end with '.'"),
    ("steps.toml", None, "review_by: Input should be a valid date"),
    (
        "steps.toml",
        None,
        "applies: 'a2l' is no safety_group; known: A1, A2L, A2, A3, B1, B2L, B2, B3",
    ),
    ("steps.toml", "twice", "say: has 23 words; at most 22 may be spoken"),
    (
        "steps.toml",
        "twice",
        "why: must be one sentence of letters, digits, commas, hyphens and apostrophes",
    ),
    (
        "steps.toml",
        "twice",
        (
            "source: must end with a semicolon and one of 'read at source', "
            "'second-hand', 'computed', 'common practice, no source', 'from memory'"
        ),
    ),
    ("steps.toml", "twice", "say: must end with '?'"),
    ("steps.toml", "twice", "good: Input should be 'yes' or 'no'"),
    ("steps.toml", "twice", "remedy: is missing"),
    ("steps.toml", "twice", "source: 'read at source' needs a citation before it"),
    ("steps.toml", "twice", "remdy: is not known; perhaps 'remedy'"),
    ("steps.toml", "Not Kebab", "id: must be lower-case words joined by hyphens"),
    (
        "steps.toml",
        "Not Kebab",
        "say: must be one sentence of letters, digits, commas, hyphens and apostrophes",
    ),
    (
        "steps.toml",
        "Not Kebab",
        (
            "applies: 'runing' is no unit; known: running, off; 'gauge' is not known; "
            "known: safety_group, method, draw, cylinder, unit, scale, charge, metering; "
            "'draw' must be a list of values, such as [\"liquid\"]; "
            "'scale' must be a list of values, such as [\"yes\"]"
        ),
    ),
    (
        "steps.toml",
        "Not Kebab",
        "good: is not known; known: kind, id, caution, say, why, source, applies",
    ),
    ("steps.toml", "odd-kind", "kind: must be 'do' or 'ask'"),
    ("steps.toml", "number 5", "id: is missing"),
    ("steps.toml", "number 5", "why: is missing"),
    (
        "steps.toml",
        "number 5",
        'applies: must be a table, such as { unit = ["running"] }',
    ),
]


def test_good_files_are_read_in_order_of_id() -> None:
    lists = load_all(DATA / "good" / "checklists")
    assert lists.ids == ("morning-walk", "only-flammable")
    assert [one.id for one in lists] == list(lists.ids)
    assert dict(lists.by_id) == {one.id: one for one in lists}
    assert len(lists) == 2
    walk = lists["morning-walk"]
    assert (walk.revision, walk.review_by) == (3, date(2030, 1, 31))
    assert [step.kind for step in walk.steps] == ["do", "ask", "ask", "ask"]
    assert walk.steps[0].caution == "The path is wet."
    assert walk.steps[2].applies == (
        Condition(key="unit", allowed=("running",)),
        Condition(key="method", allowed=("vapor", "weigh-in")),
    )


def test_every_fault_of_every_bad_file_is_reported() -> None:
    with pytest.raises(ChecklistFilesError) as raised:
        load_all(DATA / "bad" / "checklists")
    found = [(one.file, one.step, one.message) for one in raised.value.faults]
    assert found == FAULTS
    lines = str(raised.value).splitlines()
    assert lines[0] == "27 faults in the checklists; correct the files:"
    assert "  steps.toml, step twice: remedy: is missing" in lines


@pytest.mark.parametrize("name", ["", "nowhere"])
def test_a_folder_without_lists_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(ChecklistError, match=r"1 fault .*\n.*holds no .toml file"):
        load_all(tmp_path / name)


def test_a_file_that_is_not_utf8_is_refused(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b'id = "caf\xe9"')
    with pytest.raises(ChecklistFilesError, match=r"latin\.toml: not TOML: 'utf-8'"):
        load_all(tmp_path)


def test_other_files_in_the_folder_are_left_alone(tmp_path: Path) -> None:
    good = DATA / "good" / "checklists" / "only-flammable.toml"
    (tmp_path / good.name).write_bytes(good.read_bytes())
    (tmp_path / "notes.txt").write_text("not a list")
    assert load_all(tmp_path).ids == ("only-flammable",)


def test_an_unknown_list_names_those_there_are() -> None:
    lists = load_all(DATA / "good" / "checklists")
    with pytest.raises(ChecklistError, match="'walk'; there are: morning-walk"):
        lists["walk"]

"""The journal: appended and never changed, whole decisions, and never silently emptied."""

import contextlib
import datetime
import itertools
import json
import resource
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from companion.job.facts import (
    Continued,
    Fact,
    Halted,
    JobFinished,
    JobStarted,
    PowerReturned,
)
from companion.shell.clock import ManualClock, boot_id
from companion.shell.journal import (
    _INSERT,
    FILE,
    Journal,
    JournalError,
    _sum_of,
    fact_from_json,
    fact_to_dict,
    fact_to_json,
)
from tests.conftest import SITES, Play

FACTS: tuple[Fact, ...] = (
    Continued(at=1),
    Halted(at=2, reason="asked"),
    PowerReturned(at=3),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "jobs" / FILE


@pytest.fixture
def journal(path: Path) -> Iterator[Journal]:
    made = Journal(path, ManualClock(100), durable=False)
    yield made
    made.close()


@pytest.fixture(scope="module")
def whole(
    tmp_path_factory: pytest.TempPathFactory, play: Callable[[], Play]
) -> tuple[Path, list[Fact], list[int]]:
    """A journal of a whole job, its facts, and how many there are after each decision."""
    path = tmp_path_factory.mktemp("whole") / FILE
    journal = Journal(path, ManualClock(), durable=False)
    played = play().walk(SITES["vapor"])
    ends = [0]
    for step in played.steps:
        journal.append("j1", step.decision.facts)
        ends.append(ends[-1] + len(step.decision.facts))
    journal.close()
    return path, played.facts, ends


def rows(path: Path, query: str) -> list[Any]:
    with contextlib.closing(sqlite3.connect(path)) as database:
        return database.execute(query).fetchall()


def add_row(path: Path, row: tuple[Any, ...]) -> None:
    """Write a row as another version, or another start of the machine, would."""
    with contextlib.closing(sqlite3.connect(path)) as database, database:
        (before,) = database.execute(
            "select coalesce(max(sum), 0) from facts"
            " where seq = (select max(seq) from facts)"
        ).fetchone()
        database.execute(_INSERT, (*row, _sum_of(row, before)))


def test_facts_come_back_in_order_and_by_job(journal: Journal) -> None:
    journal.append("a", FACTS[:2])
    journal.append("b", FACTS[2:])
    journal.append("a", FACTS[2:])
    assert journal.facts("a") == FACTS
    assert journal.facts("b") == FACTS[2:]
    assert journal.facts("c") == ()
    assert journal.jobs() == ("a", "b")


def test_they_are_there_after_closing_and_opening(journal: Journal, path: Path) -> None:
    journal.append("a", FACTS)
    journal.close()
    again = Journal(path, ManualClock())
    assert again.facts("a") == FACTS
    assert again.report is None
    again.close()


def test_each_row_says_when_and_in_which_decision(journal: Journal, path: Path) -> None:
    journal.append("a", FACTS[:2])
    journal.append("a", ())
    journal.append("a", FACTS[2:])
    found = rows(path, "select decision, job, at, kind, utc, boot, mono from facts")
    assert [row[0] for row in found] == [1, 1, 2]
    assert found[1][1:4] == ("a", 2.0, "halted")
    assert found[0][4:] == ("2000-01-01T00:01:40.000+00:00", boot_id(), 100.0)


def test_decisions_go_on_counting_after_a_restart(journal: Journal, path: Path) -> None:
    journal.append("a", FACTS[:1])
    journal.close()
    again = Journal(path, ManualClock(), durable=False)
    again.append("a", FACTS[1:])
    again.close()
    assert rows(path, "select decision from facts") == [(1,), (2,), (2,)]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ("update facts set at = 9", "never changed"),
        ("update facts set body = '' where seq = 1", "never changed"),
        ("delete from facts", "never deleted"),
        ("delete from facts where seq = 2", "never deleted"),
    ],
)
def test_nothing_is_ever_changed_or_deleted(
    journal: Journal, path: Path, change: str, message: str
) -> None:
    journal.append("a", FACTS)
    with (
        contextlib.closing(sqlite3.connect(path)) as database,
        pytest.raises(sqlite3.IntegrityError, match=message),
    ):
        database.execute(change)
    assert journal.facts("a") == FACTS


def test_a_decision_is_written_whole_or_not_at_all(journal: Journal) -> None:
    """Not-a-number is stored as nothing, which the table refuses: the second row of
    three fails."""
    journal.append("a", FACTS)
    with pytest.raises(JournalError, match="cannot be written"):
        journal.append("a", (FACTS[0], Continued(at=float("nan")), FACTS[1]))
    assert journal.facts("a") == FACTS
    journal.append("a", FACTS)
    assert journal.facts("a") == FACTS * 2


@contextlib.contextmanager
def no_file_grows_beyond(size: int) -> Iterator[None]:
    """Let the system refuse to write past a size, as a full card would."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_a_full_card_is_said_and_leaves_nothing_half_written(
    journal: Journal, path: Path
) -> None:
    journal.append("a", FACTS)
    written = path.with_name(path.name + "-wal").stat().st_size
    many = tuple(Halted(at=9, reason="x" * 500) for _ in range(20))
    with (
        no_file_grows_beyond(written + 5000),
        pytest.raises(JournalError, match="free space") as trouble,
    ):
        journal.append("a", many)
    assert str(path) in str(trouble.value)
    assert journal.facts("a") == FACTS
    journal.append("a", many)
    assert journal.facts("a") == FACTS + many


def test_a_card_that_is_full_at_the_start_is_no_damage(
    journal: Journal, path: Path
) -> None:
    journal.append("a", FACTS)
    journal.close()
    with no_file_grows_beyond(0), pytest.raises(JournalError):
        Journal(path, ManualClock())
    assert not list(path.parent.glob("damaged*"))
    again = Journal(path, ManualClock())
    assert again.facts("a") == FACTS
    assert again.report is None
    again.close()


def test_another_version_is_left_alone(journal: Journal, path: Path) -> None:
    journal.append("a", FACTS)
    journal.close()
    with contextlib.closing(sqlite3.connect(path)) as database:
        database.execute("pragma user_version=99")
    with pytest.raises(JournalError, match="has version 99, this program writes 1"):
        Journal(path, ManualClock())
    assert [each.name for each in path.parent.iterdir()] == [FILE]


@pytest.mark.parametrize(
    "body",
    [
        '{"kind":"moon-rose","at":4}',
        '{"kind":"continued","at":4,"why":"new"}',
        '{"kind":"continued"}',
    ],
)
def test_a_fact_of_another_version_is_named(
    journal: Journal, path: Path, body: str
) -> None:
    journal.append("a", FACTS)
    journal.close()
    add_row(path, (2, "a", 4.0, "", "", 0.0, "x", body))
    again = Journal(path, ManualClock(), durable=False)
    assert again.report is None, "it was written whole, by another version"
    with pytest.raises(JournalError, match=r"Fact 4 of job a .* cannot be read"):
        again.facts("a")
    again.append("b", FACTS)
    assert again.facts("b") == FACTS
    again.close()


@pytest.mark.parametrize("where", ["folder", "under-a-file"])
def test_a_place_that_cannot_be_used_is_said(tmp_path: Path, where: str) -> None:
    path = tmp_path / "here" / FILE
    if where == "folder":
        path.mkdir(parents=True)
    else:
        path.parent.write_text("in the way")
    with pytest.raises(JournalError, match="here"):
        Journal(path, ManualClock())


def begun(job: str) -> JobStarted:
    ambient = fact_from_json(
        '{"kind":"open-reading-seen","at":0,"opening":1,"by":"voice",'
        '"reading":{"of":"absolute-pressure","si":101325}}'
    ).reading
    return JobStarted(at=0, job=job, ambient=ambient, units="us")


FINISHED = JobFinished(at=9, outcome="target", added=None)


def test_there_is_an_open_job_until_it_is_finished(journal: Journal) -> None:
    assert journal.open_job() is None
    journal.append("a", [begun("a")])
    found = journal.open_job()
    assert found is not None
    assert (found.id, found.facts) == ("a", (begun("a"),))
    assert (found.mono, found.same_boot) == (100.0, bool(boot_id()))
    journal.append("a", [FINISHED])
    assert journal.open_job() is None


def test_words_after_the_end_do_not_open_it_again(journal: Journal) -> None:
    journal.append("a", [begun("a"), FINISHED])
    journal.append("a", FACTS)
    assert journal.open_job() is None


def test_the_latest_job_counts(journal: Journal) -> None:
    journal.append("a", [begun("a")])
    journal.append("b", [begun("b"), FINISHED])
    assert journal.open_job() is None
    journal.append("c", [begun("c")])
    assert journal.open_job().id == "c"


def test_another_start_of_the_machine_is_noticed(journal: Journal, path: Path) -> None:
    journal.close()
    body = fact_to_json(begun("a"))
    add_row(path, (1, "a", 0.0, "", "another boot", 7.0, "job-started", body))
    again = Journal(path, ManualClock(), durable=False)
    found = again.open_job()
    assert found is not None
    assert (found.same_boot, found.mono) == (False, 7.0)
    again.close()


def opened(path: Path) -> tuple[tuple[Fact, ...], str | None]:
    """Open a journal, see that it can be written, and give facts and report."""
    journal = Journal(path, ManualClock(), durable=False)
    try:
        found = journal.facts("j1")
        journal.append("next", FACTS)
        assert journal.facts("next") == FACTS
        return found, journal.report
    finally:
        journal.close()


def check_kept(
    path: Path, facts: list[Fact], damaged: bytes, *, report_due: bool = False
) -> None:
    """Whatever was done to the file: a prefix is there, and a loss is reported."""
    found, report = opened(path)
    assert list(found) == facts[: len(found)]
    if report is None:
        assert not report_due
        assert len(found) == len(facts) or not damaged
        return
    kept = path.with_name(f"damaged-1-{FILE}")
    assert kept.read_bytes()[: len(damaged)] == damaged
    assert str(kept) in report
    assert f"{len(found)} facts could be read and are carried over" in report


PAGE = 4096


@pytest.mark.parametrize("cut", [0.0, 0.05, 0.2, 0.4, 0.6, 0.8, 0.9, 0.97, 0.999])
@pytest.mark.parametrize("aligned", [True, False])
def test_a_file_cut_anywhere_opens_as_a_prefix_or_is_set_aside(
    whole: tuple[Path, list[Fact], list[int]], tmp_path: Path, cut: float, aligned: bool
) -> None:
    source, facts, _ = whole
    data = source.read_bytes()
    size = int(len(data) * cut)
    damaged = data[: size // PAGE * PAGE if aligned else size]
    path = tmp_path / FILE
    path.write_bytes(damaged)
    check_kept(path, facts, damaged)


def places(length: int) -> list[int]:
    """Give the header, each page's head, and places inside pages."""
    heads = [page + 100 * (page == 0) for page in range(0, length, PAGE)]
    inside = [page + part for page in range(0, length, PAGE) for part in (600, 3500)]
    return [0, *heads, *inside]


def test_wrong_bytes_anywhere_lose_no_more_than_what_follows(
    whole: tuple[Path, list[Fact], list[int]], tmp_path: Path
) -> None:
    source, facts, _ = whole
    data = source.read_bytes()
    for place in places(len(data)):
        damaged = data[:place] + b"\xff" * 64 + data[place + 64 :]
        path = tmp_path / str(place) / FILE
        path.parent.mkdir()
        path.write_bytes(damaged)
        check_kept(path, facts, damaged)


@pytest.mark.parametrize(
    ("whole_text", "changed"),
    [
        (b'"of":"gauge-pressure","si":4', b'"of":"gauge-pressure","si":5'),
        (b'"answer":"yes"', b'"answer":"nay"'),
        (b'"answer":"done"', b'"answer":"dine"'),
        (b'"kind":"question-asked"', b'"kind":"question-asker"'),
    ],
)
def test_one_changed_letter_is_noticed(
    whole: tuple[Path, list[Fact], list[int]],
    tmp_path: Path,
    whole_text: bytes,
    changed: bytes,
) -> None:
    """The file is sound for the database; only the checksum knows better."""
    source, facts, _ = whole
    data = source.read_bytes()
    assert whole_text in data
    damaged = data.replace(whole_text, changed, 1)
    path = tmp_path / FILE
    path.write_bytes(damaged)
    check_kept(path, facts, damaged, report_due=True)


def test_a_row_taken_out_of_the_middle_is_noticed(journal: Journal, path: Path) -> None:
    for fact in FACTS:
        journal.append("a", [fact])
    journal.close()
    with contextlib.closing(sqlite3.connect(path)) as database, database:
        database.execute("drop trigger facts_remain")
        database.execute("delete from facts where seq = 2")
    again = Journal(path, ManualClock(), durable=False)
    assert again.report is not None
    assert again.facts("a") == FACTS[:1]
    again.close()


def test_what_was_carried_over_is_sound(
    whole: tuple[Path, list[Fact], list[int]], tmp_path: Path
) -> None:
    source, _, _ = whole
    data = source.read_bytes()
    place = data.index(b'"close-out/cylinder-closed"')
    path = tmp_path / FILE
    path.write_bytes(data[:place] + b"x" + data[place + 1 :])
    saved, report = opened(path)
    assert report is not None
    assert opened_again(path) == saved


def opened_again(path: Path) -> tuple[Fact, ...]:
    journal = Journal(path, ManualClock(), durable=False)
    try:
        assert journal.report is None
        return journal.facts("j1")
    finally:
        journal.close()


def test_damage_in_a_late_page_saves_the_facts_before_it(
    whole: tuple[Path, list[Fact], list[int]], tmp_path: Path
) -> None:
    source, facts, _ = whole
    data = source.read_bytes()
    place = data.index(b'"close-out/cylinder-closed"')
    path = tmp_path / FILE
    path.write_bytes(data[:place] + b"\xff" * 64 + data[place + 64 :])
    found, report = opened(path)
    assert report is not None
    assert list(found) == facts[: len(found)]
    assert len(found) > 0


def test_a_second_damaged_file_does_not_push_out_the_first(tmp_path: Path) -> None:
    path = tmp_path / FILE
    for _ in range(2):
        path.write_bytes(b"no database at all" * 100)
        opened(path)
    names = {each.name for each in tmp_path.iterdir()}
    assert {FILE, f"damaged-1-{FILE}", f"damaged-2-{FILE}"} <= names


def test_the_write_ahead_file_cut_anywhere_leaves_whole_decisions(
    whole: tuple[Path, list[Fact], list[int]], tmp_path: Path
) -> None:
    """As after the power was pulled: nothing had been moved to the main file yet."""
    _, facts, ends = whole
    live = tmp_path / "live" / FILE
    journal = Journal(live, ManualClock(), durable=False)
    for begin, end in itertools.pairwise(ends):
        journal.append("j1", facts[begin:end])
    log = live.with_name(live.name + "-wal")
    data = log.read_bytes()
    counts = set()
    for number in range(41):
        folder = tmp_path / str(number)
        folder.mkdir()
        shutil.copy(live, folder)
        (folder / log.name).write_bytes(data[: len(data) * number // 40])
        found, report = opened(folder / FILE)
        assert report is None
        assert list(found) == facts[: len(found)]
        assert len(found) in ends
        counts.add(len(found))
    journal.close()
    assert len(counts) > 20
    assert max(counts) == len(facts)


def test_a_fact_is_one_json_object_with_its_kind() -> None:
    fact = Halted(at=2, reason="noise")
    assert json.loads(fact_to_json(fact)) == fact_to_dict(fact)
    assert fact_to_dict(fact) == {"at": 2.0, "reason": "noise", "kind": "halted"}
    assert fact_from_json(fact_to_json(fact)) == fact


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", '{"kind":"continued"}', '{"kind":"continued","at":"soon"}']
)
def test_what_is_no_fact_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="validation error"):
        fact_from_json(text)


def test_a_job_has_a_date_only_where_somebody_vouched_for_the_clock(
    tmp_path: Path,
) -> None:
    clock = ManualClock()
    journal = Journal(tmp_path / FILE, clock)
    clock.move_to(100.0)
    journal.append("j1", (FINISHED,))
    assert journal.began("j1") is None
    clock.move_to(160.0)
    journal.vouch("technician")
    began = journal.began("j1")
    assert began is not None
    assert began == clock.utc() - datetime.timedelta(seconds=60)
    journal.close()


def test_another_boots_facts_stay_undated(tmp_path: Path) -> None:
    journal = Journal(tmp_path / FILE, ManualClock())
    journal.append("j1", (FINISHED,))
    journal._boot = "another"
    journal.vouch("clock chip")
    assert journal.began("j1") is None
    journal.append("j2", (FINISHED,))
    assert journal.began("j2") is not None
    journal.close()

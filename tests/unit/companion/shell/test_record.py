"""What is on the card, what waits for it, and what is said of a card that fails."""

import queue
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from companion.job.facts import Continued, Fact, Halted
from companion.shell.clock import ManualClock
from companion.shell.journal import FILE, Journal, JournalError
from companion.shell.record import DirectRecord, NoRecord, WriterRecord

ONE: tuple[Fact, ...] = (Continued(at=1),)
TWO: tuple[Fact, ...] = (Halted(at=2, reason="asked"), Continued(at=3))
PATIENCE_S = 10.0
"""How long the writing thread may take before a test gives up."""


class FailingJournal:
    """A journal whose card can be taken out and put back."""

    def __init__(self) -> None:
        self.broken = False
        self.kept: list[tuple[str, Sequence[Fact]]] = []
        self.closed = False

    def append(self, job: str, facts: Sequence[Fact]) -> None:
        if self.broken:
            raise JournalError("the card is full")
        self.kept.append((job, facts))

    def close(self) -> None:
        self.closed = True


def test_no_record_counts_decisions_and_never_fails() -> None:
    record = NoRecord()
    assert [record.write("a", ONE), record.write("a", ())] == [1, 2]
    record.retry()
    record.close()
    assert (record.written, record.trouble) == (2, None)


def test_a_direct_record_is_written_when_it_returns(tmp_path: Path) -> None:
    journal = Journal(tmp_path / FILE, ManualClock(), durable=False)
    record = DirectRecord(journal)
    for number, facts in enumerate((ONE, (), TWO), start=1):
        assert record.write("a", facts) == number == record.written
    assert journal.facts("a") == ONE + TWO
    record.close()


def test_what_could_not_be_written_waits_in_order() -> None:
    journal = FailingJournal()
    record = DirectRecord(journal)
    record.write("a", ONE)
    journal.broken = True
    assert [record.write("a", TWO), record.write("b", ONE)] == [2, 3]
    assert (record.written, record.trouble) == (1, "the card is full")
    record.retry()
    assert (record.written, record.trouble) == (1, "the card is full")
    journal.broken = False
    record.retry()
    assert (record.written, record.trouble) == (3, None)
    assert journal.kept == [("a", ONE), ("a", TWO), ("b", ONE)]


def test_the_next_write_brings_what_waited_with_it() -> None:
    journal = FailingJournal()
    record = DirectRecord(journal)
    journal.broken = True
    record.write("a", ONE)
    journal.broken = False
    assert record.write("a", TWO) == 2
    assert (record.written, record.trouble) == (2, None)
    assert journal.kept == [("a", ONE), ("a", TWO)]


def test_closing_tries_once_more() -> None:
    journal = FailingJournal()
    record = DirectRecord(journal)
    journal.broken = True
    record.write("a", ONE)
    journal.broken = False
    record.close()
    assert journal.kept == [("a", ONE)]
    assert journal.closed


class Writer:
    """A writing record, and a way to wait for its thread without sleeping."""

    def __init__(self) -> None:
        self.journal = FailingJournal()
        self._attempts: queue.Queue[None] = queue.Queue()
        self.record = WriterRecord(self.journal, lambda: self._attempts.put(None))

    def wait(self, attempts: int = 1) -> None:
        for _ in range(attempts):
            self._attempts.get(timeout=PATIENCE_S)


@pytest.fixture
def writer() -> Iterator[Writer]:
    made = Writer()
    yield made
    made.record.close()


def test_a_thread_writes_in_order_and_tells_when(writer: Writer) -> None:
    tickets = [writer.record.write("a", facts) for facts in (ONE, TWO, ())]
    assert tickets == [1, 2, 3]
    writer.wait(3)
    assert (writer.record.written, writer.record.trouble) == (3, None)
    assert writer.journal.kept == [("a", ONE), ("a", TWO), ("a", ())]


def test_facts_from_before_a_job_has_a_name_are_written_too(writer: Writer) -> None:
    """A microphone may be lost before the job begins."""
    writer.record.write("", ONE)
    writer.record.write("a", TWO)
    writer.wait(2)
    assert writer.record.written == 2
    assert writer.journal.kept == [("", ONE), ("a", TWO)]


def test_the_thread_tries_again_when_it_is_asked(writer: Writer) -> None:
    writer.journal.broken = True
    writer.record.write("a", ONE)
    writer.record.write("a", TWO)
    writer.wait(2)
    assert (writer.record.written, writer.record.trouble) == (0, "the card is full")
    writer.journal.broken = False
    writer.record.retry()
    writer.wait()
    assert (writer.record.written, writer.record.trouble) == (2, None)
    assert writer.journal.kept == [("a", ONE), ("a", TWO)]


def test_closing_writes_what_is_queued() -> None:
    made = Writer()
    for _ in range(50):
        made.record.write("a", ONE)
    made.record.close()
    assert len(made.journal.kept) == 50
    assert made.journal.closed

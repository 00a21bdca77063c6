"""Hand facts to the journal, at once or on a thread of its own.

A ticket is given for each decision; ``written`` is the highest ticket known to be on
the card. The loop holds ordinary sentences back until their ticket is written, so that
what was spoken is always remembered. The live program writes on a thread: a card that
stalls for seconds must never delay a close call.
"""

import queue
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from companion.job.facts import Fact
from companion.shell.journal import Journal, JournalError


class Record(Protocol):
    """Where facts go."""

    @property
    def written(self) -> int:
        """The highest ticket that is written."""

    @property
    def trouble(self) -> str | None:
        """Why writing fails now, or None while it works."""

    def write(self, job: str, facts: Sequence[Fact]) -> int:
        """Take the facts of one decision and give their ticket."""

    def retry(self) -> None:
        """Try again to write what could not be written."""

    def close(self) -> None:
        """Write what is left and close."""


class NoRecord:
    """Facts are not kept: for filters and benchmarks."""

    def __init__(self) -> None:
        self.written = 0
        self.trouble: str | None = None

    def write(self, job: str, facts: Sequence[Fact]) -> int:  # noqa: ARG002
        """Count the decision."""
        self.written += 1
        return self.written

    def retry(self) -> None:
        """Do nothing: nothing can fail."""

    def close(self) -> None:
        """Do nothing."""


class DirectRecord:
    """Facts are on the card when ``write`` returns."""

    def __init__(self, journal: Journal) -> None:
        self._journal = journal
        self._waiting: list[tuple[str, Sequence[Fact]]] = []
        self.written = 0
        self.trouble: str | None = None

    def write(self, job: str, facts: Sequence[Fact]) -> int:
        """Write now; on failure keep the facts for a retry, in order."""
        self._waiting.append((job, facts))
        ticket = self.written + len(self._waiting)
        self.retry()
        return ticket

    def retry(self) -> None:
        """Write what waits, oldest first, until it is done or fails again."""
        while self._waiting:
            job, facts = self._waiting[0]
            try:
                self._journal.append(job, facts)
            except JournalError as trouble:
                self.trouble = str(trouble)
                return
            del self._waiting[0]
            self.written += 1
        self.trouble = None

    def close(self) -> None:
        """Try once more and close the file."""
        self.retry()
        self._journal.close()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Work:
    job: str
    facts: Sequence[Fact]


_RETRY = _Work(job="", facts=())


class WriterRecord:
    """Facts are written by a thread; ``done`` is called after each attempt."""

    def __init__(self, journal: Journal, done: Callable[[], None]) -> None:
        self._direct = DirectRecord(journal)
        self._done = done
        self._tickets = 0
        self._queue: queue.Queue[_Work | None] = queue.Queue()
        self._thread = threading.Thread(target=self._run, name="journal", daemon=True)
        self._thread.start()

    @property
    def written(self) -> int:
        """The highest ticket that is written."""
        return self._direct.written

    @property
    def trouble(self) -> str | None:
        """Why writing fails now, or None while it works."""
        return self._direct.trouble

    def write(self, job: str, facts: Sequence[Fact]) -> int:
        """Queue the facts of one decision."""
        self._tickets += 1
        self._queue.put(_Work(job=job, facts=facts))
        return self._tickets

    def retry(self) -> None:
        """Ask the thread to try again what failed."""
        self._queue.put(_RETRY)

    def close(self) -> None:
        """Write what is queued, then stop; gives up on a card that does not answer."""
        self._queue.put(None)
        self._thread.join(timeout=10)
        if not self._thread.is_alive():
            self._direct.close()

    def _run(self) -> None:
        while (work := self._queue.get()) is not None:
            if work is _RETRY:
                self._direct.retry()
            else:
                self._direct.write(work.job, work.facts)
            self._done()

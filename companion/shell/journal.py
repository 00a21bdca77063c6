"""The journal: every fact of every job in one SQLite file, appended and never changed.

One transaction holds the facts of one decision. Triggers refuse updates and deletes.
``synchronous=FULL`` means that a committed decision survives the power being pulled.
Each fact carries its number, the job's own time, the wall clock (which may be wrong
after a cold boot), the boot it was written in and that boot's monotonic clock. The wall
clock is believed only in a boot where somebody vouched for it once: then that moment
dates every fact of the boot. Each fact also carries a checksum over itself and the fact
before it, so that a changed byte is noticed. A damaged file is set aside, what can be
read of it up to the damage is carried over into a new one, and both are said; it is
never silently emptied.
"""

import contextlib
import datetime
import json
import sqlite3
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, TypeAdapter, ValidationError

from companion.job.facts import Fact
from companion.shell.clock import Clock, boot_id
from companion.shell.errors import CompanionError

FILE = "journal.sqlite3"
_VERSION = 1
_SCHEMA = """
create table facts (
    seq integer primary key,
    decision integer not null,
    job text not null,
    at real not null,
    utc text not null,
    boot text not null,
    mono real not null,
    kind text not null,
    body text not null,
    sum integer not null
) strict;
create index facts_of_job on facts (job, seq);
create trigger facts_stay before update on facts
begin select raise(abort, 'facts are never changed'); end;
create trigger facts_remain before delete on facts
begin select raise(abort, 'facts are never deleted'); end;
"""
_CLOCKS = """
create table if not exists clocks (
    boot text not null,
    mono real not null,
    utc text not null,
    how text not null
) strict;
"""
_VOUCH = "insert into clocks (boot, mono, utc, how) values (?, ?, ?, ?)"
_INSERT = (
    "insert into facts (decision, job, at, utc, boot, mono, kind, body, sum)"
    " values (?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_SELECT = (
    "select decision, job, at, utc, boot, mono, kind, body, sum from facts"
    " not indexed order by seq"
)
_DAMAGE = (sqlite3.DatabaseError, UnicodeDecodeError, MemoryError)
_CORRUPT = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
_CODEC: TypeAdapter[Fact] = TypeAdapter(Annotated[Fact, Field(discriminator="kind")])


class _DamagedError(Exception):
    """The file's own content is broken, as opposed to the card or the folder."""


class JournalError(CompanionError, OSError):
    """The journal cannot be opened or written; the message says what to do."""


def fact_to_json(fact: Fact) -> str:
    """Write a fact as one JSON object."""
    return _CODEC.dump_json(fact).decode()


def fact_from_json(text: str) -> Fact:
    """Read a fact back; unknown keys are refused.

    Raises
    ------
    ValueError
        If the text is not a fact of this program's vocabulary.
    """
    return _CODEC.validate_json(text, extra="forbid")


def fact_to_dict(fact: Fact) -> dict[str, Any]:
    """Give a fact as plain JSON values."""
    plain: dict[str, Any] = json.loads(fact_to_json(fact))
    return plain


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenJob:
    """A job that was begun and not finished."""

    id: str
    facts: tuple[Fact, ...]
    same_boot: bool
    mono: float


class Journal:
    """The facts on the card."""

    def __init__(self, path: Path, clock: Clock, *, durable: bool = True) -> None:
        self._clock = clock
        self._boot = boot_id()
        self._sum = 0
        self.path = path
        self.report: str | None = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as trouble:
            raise self._unusable(trouble) from trouble
        try:
            self._db = self._open(durable=durable)
        except _DamagedError as damage:
            kept = self._set_aside()
            self._db = self._open(durable=durable)
            self._carry_over(kept, str(damage))
        self._decision = self._number("select max(decision) from facts")

    def _unusable(self, trouble: Exception) -> JournalError:
        return JournalError(
            f"The journal {self.path} cannot be opened ({trouble}); free space, make the "
            "folder writable, end the other program that uses it, or name another "
            "folder with --job"
        )

    def _open(self, *, durable: bool) -> sqlite3.Connection:
        try:
            database = sqlite3.connect(self.path, check_same_thread=False)
        except sqlite3.OperationalError as trouble:
            raise self._unusable(trouble) from trouble
        try:
            database.execute("pragma journal_mode=wal")
            database.execute(f"pragma synchronous={'full' if durable else 'off'}")
            self._check(database)
            self._sum = _verified(database)
        except _DAMAGE as trouble:
            database.close()
            if _is_damage(trouble):
                raise _DamagedError(str(trouble) or type(trouble).__name__) from trouble
            raise self._unusable(trouble) from trouble
        except BaseException:
            database.close()
            raise
        return database

    def _check(self, database: sqlite3.Connection) -> None:
        (found,) = database.execute("pragma quick_check(1)").fetchone()
        if found != "ok":
            raise sqlite3.DatabaseError(found)
        (version,) = database.execute("pragma user_version").fetchone()
        if version == 0:
            script = f"begin;{_SCHEMA}pragma user_version={_VERSION};commit;"
            database.executescript(script)
        if version in (0, _VERSION):
            database.execute(_CLOCKS)
        else:
            raise JournalError(
                f"The journal {self.path} has version {version}, this program "
                f"writes {_VERSION}; use the program that wrote it, or move the file"
            )

    def _set_aside(self) -> Path:
        number = 1
        while (kept := self.path.with_name(f"damaged-{number}-{FILE}")).exists():
            number += 1
        for suffix in ("-wal", "-shm"):
            side = self.path.with_name(self.path.name + suffix)
            if side.exists():
                side.rename(kept.with_name(kept.name + suffix))
        self.path.rename(kept)
        return kept

    def _carry_over(self, kept: Path, why: str) -> None:
        rows = _readable(kept)
        with self._db:
            self._db.executemany(_INSERT, rows)
        self._sum = rows[-1][-1] if rows else 0
        self.report = (
            f"The journal was damaged ({why}) and is kept as {kept}; {len(rows)} facts "
            "could be read and are carried over"
        )

    def append(self, job: str, facts: Sequence[Fact]) -> None:
        """Write the facts of one decision and sync them; all of them or none.

        Raises
        ------
        JournalError
            If they cannot be written, for instance because the disk is full.
        """
        if not facts:
            return
        self._decision += 1
        utc = self._utc()
        mono = float(self._clock.now())
        rows, total = [], self._sum
        for fact in facts:
            row = (
                self._decision,
                job,
                float(fact.at),
                utc,
                self._boot,
                mono,
                fact.kind,
                fact_to_json(fact),
            )
            total = _sum_of(row, total)
            rows.append((*row, total))
        try:
            with self._db:
                self._db.executemany(_INSERT, rows)
        except sqlite3.Error as trouble:
            raise JournalError(
                f"The record cannot be written to {self.path} ({trouble}); free space "
                "on the card or put in another; nothing said so far is lost"
            ) from trouble
        self._sum = total

    def facts(self, job: str) -> tuple[Fact, ...]:
        """Give the facts of a job, oldest first.

        Raises
        ------
        JournalError
            If a fact cannot be read by this program.
        """
        rows = self._db.execute(
            "select seq, body from facts where job = ? order by seq", (job,)
        )
        found = []
        for seq, body in rows:
            try:
                found.append(fact_from_json(body))
            except ValidationError as trouble:
                raise JournalError(
                    f"Fact {seq} of job {job} in {self.path} cannot be read "
                    f"({trouble.errors()[0]['msg']}); use the program version that "
                    "wrote it"
                ) from trouble
        return tuple(found)

    def jobs(self) -> tuple[str, ...]:
        """Give the ids of all jobs, oldest first."""
        rows = self._db.execute("select job from facts group by job order by min(seq)")
        return tuple(job for (job,) in rows)

    def open_job(self) -> OpenJob | None:
        """Give the latest job that was not finished, or None."""
        row = self._db.execute(
            "select job, boot, mono from facts order by seq desc limit 1"
        ).fetchone()
        if row is None:
            return None
        job, boot, mono = row
        finished = self._db.execute(
            "select 1 from facts where job = ? and kind = 'job-finished'", (job,)
        ).fetchone()
        if finished is not None:
            return None
        same = bool(boot) and boot == self._boot
        return OpenJob(id=job, facts=self.facts(job), same_boot=same, mono=mono)

    def vouch(self, how: str) -> None:
        """Note that the wall clock is right now, and who says so; dates this boot.

        Raises
        ------
        JournalError
            If it cannot be written.
        """
        row = (self._boot, float(self._clock.now()), self._utc(), how)
        try:
            with self._db:
                self._db.execute(_VOUCH, row)
        except sqlite3.Error as trouble:
            raise self._unusable(trouble) from trouble

    def began(self, job: str) -> datetime.datetime | None:
        """Give when a job began, or None where nobody vouched for the clock.

        One moment of a boot that was vouched for dates all of that boot.
        """
        row = self._db.execute(
            "select clocks.utc, facts.mono - clocks.mono from facts"
            " join clocks on clocks.boot = facts.boot"
            " where facts.job = ? order by facts.seq, clocks.mono limit 1",
            (job,),
        ).fetchone()
        if row is None:
            return None
        utc, seconds = row
        moment = datetime.datetime.fromisoformat(utc)
        return moment + datetime.timedelta(seconds=seconds)

    def _utc(self) -> str:
        return self._clock.utc().isoformat(timespec="milliseconds")

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def _number(self, query: str) -> int:
        (value,) = self._db.execute(query).fetchone()
        return int(value or 0)


def _is_damage(trouble: Exception) -> bool:
    """Tell a broken file from a full card, a locked file or a missing right."""
    code = getattr(trouble, "sqlite_errorcode", None)
    if isinstance(trouble, sqlite3.OperationalError) and code is not None:
        return code & 0xFF in _CORRUPT
    return True


def _sum_of(row: tuple[Any, ...], before: int) -> int:
    """Give the checksum of a row (without its own) and of the one before it."""
    return zlib.crc32(repr(row).encode(), before)


def _verified(database: sqlite3.Connection) -> int:
    """Read every row through and give the last checksum.

    Raises
    ------
    sqlite3.DatabaseError
        If a row cannot be read or its checksum is wrong.
    """
    total = 0
    for number, row in enumerate(database.execute(_SELECT), start=1):
        total = _sum_of(row[:-1], total)
        if total != row[-1]:
            raise sqlite3.DatabaseError(f"fact {number} was changed")
    return total


def _readable(path: Path) -> list[tuple[Any, ...]]:
    """Read rows of a damaged file, oldest first, up to the first that is not whole."""
    rows: list[tuple[Any, ...]] = []
    total = 0
    with contextlib.suppress(*_DAMAGE, ValueError):
        database = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
        with contextlib.closing(database):
            for row in database.execute(_SELECT):
                total = _sum_of(row[:-1], total)
                if total != row[-1]:
                    break
                rows.append(row)
    return rows

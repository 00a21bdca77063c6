"""The only place where real things are plugged in."""

import datetime
import queue
import sys
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from checklists import expired
from companion.job.evolve import fold
from companion.job.know import Know
from companion.job.state import Job
from companion.shell.clock import SystemClock
from companion.shell.devices import Devices, open_devices
from companion.shell.enrolment import read_profile
from companion.shell.errors import CompanionError
from companion.shell.journal import FILE, Journal, OpenJob
from companion.shell.knowing import read_know
from companion.shell.live import Arrival, Live, LiveStage, Written
from companion.shell.loop import Loop
from companion.shell.record import WriterRecord
from companion.shell.report import write_record
from companion.shell.selfcheck import job_folder
from companion.shell.settings import Settings
from companion.shell.wording import Wording, read_wording


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOptions:
    """How ``companion run`` was called."""

    typed: bool = False
    folder: Path | None = None
    accept_expired: bool = False


def run(settings: Settings, options: RunOptions) -> int:
    """Run one job with the real devices; give the exit code.

    Raises
    ------
    CompanionError
        If the job cannot begin; the message says what to do.
    """
    clock = SystemClock()
    know = read_know()
    wording = read_wording(settings.units)
    folder = options.folder or job_folder(settings)
    journal = Journal(folder / FILE, clock)
    if journal.report is not None:
        _tell(journal.report)
    open_job = journal.open_job()
    if open_job is None and not options.accept_expired:
        refuse_expired(know, clock.utc().date())
    job = Job() if open_job is None else fold(open_job.facts)
    job_id = _job_id(clock.utc(), open_job)
    inbox: queue.Queue[Arrival] = queue.Queue()
    with ExitStack() as opened:
        devices = open_devices(settings, inbox.put, typed=options.typed)
        opened.callback(devices.close)
        for note in devices.notes:
            _tell(note)
        stage = _stage(devices, wording, know)
        record = WriterRecord(journal, lambda: inbox.put(Written()))
        opened.callback(record.close)
        loop = Loop(know=know, wording=wording, record=record, stage=stage, job=job)
        live = Live(
            loop=loop,
            clock=clock,
            stage=stage,
            listeners=devices.listeners,
            speaker=devices.speaker,
            panel=devices.panel,
            inbox=inbox,
        )
        finished = live.run(
            job_id, settings.ambient, known_voice=_known_voice(settings)
        )
        devices.finish_talking()
    if not finished:
        _tell(f"The job is kept in {folder}; start again to go on with it.")
        return 1
    _report(folder, job_id, settings)
    return 0


def _stage(devices: Devices, wording: Wording, know: Know) -> LiveStage:
    return LiveStage(
        screen=sys.stdout,
        speaker=devices.speaker,
        panel=devices.panel,
        listeners=devices.listeners,
        wording=wording,
        know=know,
    )


def _known_voice(settings: Settings) -> bool:
    """Tell whether the technician's voice was tried and is heard well."""
    if not settings.voice_profile:
        return False
    return read_profile(Path(settings.voice_profile)).trusted


def refuse_expired(know: Know, today: datetime.date) -> None:
    """Refuse to begin a job with a checklist past its review date.

    Raises
    ------
    CompanionError
        If any is; a job that is under way goes on with the lists it has.
    """
    late = [each for each in know.checklists.values() if expired(each, today)]
    if late:
        named = ", ".join(f"{each.id} (review by {each.review_by})" for each in late)
        raise CompanionError(
            f"These checklists are past their review date: {named}. Have them reviewed "
            "and set review_by in their files, see to it that the date of this machine "
            f"({today}) is right, or start with --accept-expired"
        )


def _job_id(now: datetime.datetime, open_job: OpenJob | None) -> str:
    if open_job is not None:
        return open_job.id
    return now.strftime("job-%Y%m%d-%H%M%S")


def _report(folder: Path, job_id: str, settings: Settings) -> None:
    journal = Journal(folder / FILE, SystemClock())
    out = folder / job_id
    out.mkdir(exist_ok=True)
    for path in write_record(journal.facts(job_id), read_wording(settings.units), out):
        _tell(f"Record: {path}")
    journal.close()


def _tell(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()

"""The only place where real things are plugged in."""

import datetime
import signal
import sys
import threading
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, assert_never

from checklists import expired
from companion.job.evolve import fold
from companion.job.know import Know
from companion.job.state import Job
from companion.shell.arrivals import Inbox, Written
from companion.shell.clock import Clock, SystemClock, vouched_for
from companion.shell.devices import FAREWELL_S, Devices, open_devices
from companion.shell.enrolment import read_profile
from companion.shell.errors import CompanionError
from companion.shell.fixed_cues import fixed_sentences
from companion.shell.journal import FILE, Journal, OpenJob
from companion.shell.knowing import read_know
from companion.shell.live import Live, LiveStage
from companion.shell.loop import Loop
from companion.shell.record import WriterRecord
from companion.shell.report import write_record
from companion.shell.selfcheck import job_folder
from companion.shell.settings import Settings
from companion.shell.standby import Standby
from companion.shell.supervisor import Supervisor
from companion.shell.wording import Wording
from companion.shell.words import words_of
from hardware import Power


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOptions:
    """How ``companion run`` was called.

    ``service`` is the box's way: wait for the confirm button before a new job, and
    tell the service manager.
    """

    typed: bool = False
    folder: Path | None = None
    accept_expired: bool = False
    service: bool = False


def run(settings: Settings, options: RunOptions) -> int:
    """Run one job with the real devices; give the exit code.

    Raises
    ------
    CompanionError
        If the job cannot begin; the message says what to do.
    """
    clock = SystemClock()
    know = read_know(settings.language)
    wording = words_of(settings)
    folder = options.folder or job_folder(settings)
    journal, vouched = _open_journal(folder, clock)
    open_job = journal.open_job()
    refusal = None
    if open_job is None and not options.accept_expired:
        refusal = _refusal(know, clock.utc().date())
    if refusal is not None and not options.service:
        journal.close()
        raise refusal
    inbox = Inbox()
    ordered = threading.Event()
    if options.service:
        _end_politely_on_terminate(inbox, ordered)
    with ExitStack() as opened:
        devices = open_devices(settings, inbox.put, clock, typed=options.typed)
        opened.callback(devices.close)
        for note in devices.notes:
            _tell(note)
        if refusal is not None:
            journal.close()
            _say_refusal(devices, refusal)
            raise refusal
        devices.prepare(fixed_sentences(wording, know))
        site = _Site(
            clock=clock,
            know=know,
            wording=wording,
            journal=journal,
            inbox=inbox,
            devices=devices,
            stage=_stage(devices, wording, know),
            supervisor=Supervisor(),
            opened=opened,
            ordered=ordered,
        )
        wait = options.service and open_job is None
        if wait and not _stand_by(site, vouched):
            ending: Ending = "supply-gone"
        else:
            ending = _work(site, open_job, settings)
        _let_it_talk(site, GOODBYE_S if ending == "supply-gone" else FAREWELL_S)
        site.supervisor.stopping()
    return _after(ending, folder, site, settings)


Ending = Literal["finished", "kept", "supply-gone"]
SUPPLY_GONE = 3
"""Exit code where the supply went: the service manager must not start it again."""
GOODBYE_S = 5.0
"""On backup power the goodbye is waited for at most this long [s]."""
OFF_FILE = Path("/run/companion-off/now")
"""In the box its presence makes the system switch itself off; see ``hardware``."""


@dataclass(slots=True, kw_only=True)
class _Site:
    """What a run has opened."""

    clock: Clock
    know: Know
    wording: Wording
    journal: Journal
    inbox: Inbox
    devices: Devices
    stage: LiveStage
    supervisor: Supervisor
    opened: ExitStack
    ordered: threading.Event
    job_id: str = ""


def _end_politely_on_terminate(inbox: Inbox, ordered: threading.Event) -> None:
    """Take the service manager's order to end as the end of the supply.

    ``ordered`` is set then: nothing is switched off for it.
    """

    def end(*_: object) -> None:
        ordered.set()
        # From a thread: this one may hold the queue's lock at this very moment.
        ending = Power(ignition=True, backup=True)
        threading.Thread(target=inbox.put, args=(ending,), daemon=True).start()

    signal.signal(signal.SIGTERM, end)


def _stand_by(site: _Site, vouched: str) -> bool:
    """Wait in the box until a job is wanted; false where the supply goes first."""
    panel = site.devices.panel
    if panel is None:
        return True  # nobody could press: begin, and answer by voice
    site.supervisor.ready("waiting for a job")
    standby = Standby(
        clock=site.clock,
        inbox=site.inbox,
        panel=panel,
        say=lambda cue: site.stage.say(0, cue, site.wording.line(cue)),
        supervisor=site.supervisor,
    )
    if not vouched and standby.confirm_date(site.clock.utc()):
        site.journal.vouch("technician")
    begin = standby.wait() == "begin"
    if not begin:
        site.opened.callback(site.journal.close)
    return begin


def _work(site: _Site, open_job: OpenJob | None, settings: Settings) -> Ending:
    """Run the open job, or a new one, to its end or the supply's."""
    journal, devices = site.journal, site.devices
    site.job_id = _job_id(site.clock.utc(), open_job, journal.jobs())
    record = WriterRecord(journal, lambda: site.inbox.put(Written()))
    site.opened.callback(record.close)
    loop = Loop(
        know=site.know,
        wording=site.wording,
        record=record,
        stage=site.stage,
        job=Job() if open_job is None else fold(open_job.facts),
    )
    live = Live(
        loop=loop,
        clock=site.clock,
        stage=site.stage,
        listeners=devices.listeners,
        speaker=devices.speaker,
        panel=devices.panel,
        inbox=site.inbox,
        sensed=devices.sensed,
        supervisor=site.supervisor,
        hush=devices.hush,
    )
    finished = live.run(
        site.job_id, settings.ambient, known_voice=_known_voice(settings)
    )
    if live.supply_gone:
        return "supply-gone"
    return "finished" if finished else "kept"


def _let_it_talk(site: _Site, seconds: float) -> None:
    """Let the last sentence end; the service manager is told that this is no hang."""
    limit = site.clock.now() + seconds
    while site.clock.now() < limit and not site.devices.finish_talking(1.0):
        site.supervisor.alive(site.clock.now())


def _after(ending: Ending, folder: Path, site: _Site, settings: Settings) -> int:
    match ending:
        case "finished":
            _report(folder, site.job_id, settings)
            return 0
        case "kept":
            _tell(f"The job is kept in {folder}; start again to go on with it.")
            return 1
        case "supply-gone" if site.ordered.is_set():
            return 0
        case "supply-gone":
            # The record is closed by now: the box may be switched off.
            if OFF_FILE.parent.is_dir():
                OFF_FILE.touch()
            return SUPPLY_GONE
        case _:
            assert_never(ending)


def _stage(devices: Devices, wording: Wording, know: Know) -> LiveStage:
    return LiveStage(
        screen=sys.stdout,
        speaker=devices.speaker,
        panel=devices.panel,
        listeners=devices.listeners,
        wording=wording,
        know=know,
    )


def _open_journal(folder: Path, clock: Clock) -> tuple[Journal, str]:
    """Open the journal, and note what vouches for the date, if anything does."""
    journal = Journal(folder / FILE, clock)
    if journal.report is not None:
        _tell(journal.report)
    vouched = vouched_for()
    if vouched:
        journal.vouch(vouched)
    return journal, vouched


def _say_refusal(devices: Devices, refusal: CompanionError) -> None:
    """Say why there will be no job: nobody reads the screen of a box."""
    if devices.speaker is not None:
        devices.speaker.say(str(refusal))
    devices.finish_talking()


def _refusal(know: Know, today: datetime.date) -> CompanionError | None:
    try:
        refuse_expired(know, today)
    except CompanionError as refusal:
        return refusal
    return None


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


def _job_id(
    now: datetime.datetime, open_job: OpenJob | None, known: tuple[str, ...]
) -> str:
    """Give the open job's id, or a new one; a clock that went back must not reuse one."""
    if open_job is not None:
        return open_job.id
    plain = now.strftime("job-%Y%m%d-%H%M%S")
    fresh, number = plain, 1
    while fresh in known:
        number += 1
        fresh = f"{plain}-{number}"
    return fresh


def _report(folder: Path, job_id: str, settings: Settings) -> None:
    journal = Journal(folder / FILE, SystemClock())
    out = folder / job_id
    out.mkdir(exist_ok=True)
    facts, wording = journal.facts(job_id), words_of(settings)
    for path in write_record(facts, wording, out, journal.began(job_id)):
        _tell(f"Record: {path}")
    journal.close()


def _tell(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()

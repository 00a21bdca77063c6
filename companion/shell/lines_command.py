"""``companion run --lines``: the filter on standard input and output."""

from contextlib import ExitStack
from pathlib import Path
from typing import TextIO

from companion.job.evolve import fold
from companion.job.state import Job
from companion.shell.clock import SystemClock
from companion.shell.journal import FILE, Journal
from companion.shell.knowing import read_know
from companion.shell.lines import JsonStage, run_lines
from companion.shell.loop import Loop
from companion.shell.record import DirectRecord, NoRecord, Record
from companion.shell.settings import Settings
from companion.shell.words import words_of

JOB_ID = "lines"
"""Id of a job driven by lines; with a folder, numbered."""


def run_filter(
    settings: Settings, folder: Path | None, lines: TextIO, out: TextIO
) -> int:
    """Filter lines until they end; with a folder the job is kept and resumed there."""
    stage = JsonStage(out)
    job, job_id = Job(), JOB_ID
    record: Record = NoRecord()
    with ExitStack() as opened:
        if folder is not None:
            journal = Journal(folder / FILE, SystemClock())
            if journal.report is not None:
                stage.write(report=journal.report)
            kept = journal.open_job()
            if kept is not None:
                job = fold(kept.facts)
            job_id = job.id or f"{JOB_ID}-{len(journal.jobs()) + 1}"
            record = DirectRecord(journal)
            opened.callback(record.close)
        loop = Loop(
            know=read_know(settings.language),
            wording=words_of(settings),
            record=record,
            stage=stage,
            job=job,
            seen=stage.facts,
        )
        run_lines(lines, stage, loop, job_id=job_id, ambient=settings.ambient)
    return 0

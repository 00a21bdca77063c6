"""What comes next: worked out from the job as it stands, never remembered.

The phases are asked in order; the first that still needs something says what. So a job
that was interrupted, or taken back a step, goes on at the right place by itself.
"""

from collections.abc import Callable

from companion.job import charge, finish, identify, prepare
from companion.job.items import (
    AskReady,
    Attend,
    Begin,
    Blocked,
    Halt,
    Item,
    Over,
    Pause,
)
from companion.job.know import Know
from companion.job.state import Closed, Job

Phase = Callable[[Job, Know], Item | None]

NEEDED_TO_OPEN = ("record", "speaker")
"""Devices without which nothing is opened: the job must be remembered, and a close
call must be heard."""

PHASES: tuple[tuple[str, Phase], ...] = (
    ("identify", identify.next_item),
    ("prepare", prepare.next_item),
    ("method", prepare.next_method),
    ("connect", prepare.next_connect),
    ("charge", charge.next_item),
    ("finish", finish.next_item),
)


def next_item(job: Job, know: Know) -> Item:
    """Give what comes next in this job."""
    first = _before_any_phase(job)
    if first is not None:
        return first
    for name, phase in PHASES:
        if job.charging_ended is not None and name != "finish":
            continue
        item = phase(job, know)
        if item is not None:
            return _unless_blocked(job, item)
    return Over()


def _before_any_phase(job: Job) -> Item | None:
    if not job.started:
        return Begin()
    if not isinstance(job.valve, Closed):
        return Attend()
    if job.finished:
        return Over()
    if job.halted is not None:
        return Halt(reason=job.halted)
    if job.waiting is not None:
        return Pause(waiting=job.waiting)
    return None


def _unless_blocked(job: Job, item: Item) -> Item:
    if not isinstance(item, AskReady):
        return item
    for device in NEEDED_TO_OPEN:
        if device in job.missing:
            return Blocked(device=device)
    return item


def phase_name(job: Job, know: Know) -> str:
    """Give the name of the phase the job is in, for "status" and the record."""
    if job.finished:
        return "finished"
    for name, phase in PHASES:
        if job.charging_ended is not None and name != "finish":
            continue
        if phase(job, know) is not None:
            return name
    return "finished"

"""Phase: close up, weigh again, leak-check, hand over the record."""

from companion.job import read
from companion.job.asking import question
from companion.job.items import FinishJob, Item
from companion.job.know import Know
from companion.job.prepare import next_step
from companion.job.state import Job
from companion.knowledge.quantities import Mass

LAST_WEIGHT = "#end"
"""Suffix of the cylinder's weight after everything is closed."""


def next_item(job: Job, know: Know) -> Item | None:
    """Give the next step of closing up; the job is finished after the last."""
    if job.charging_ended is None:
        return None
    if any(key.startswith("connect/") for key in job.answers):
        step = next_step(job, know, "close-out")
        if step is not None:
            return step
        if read.option(job, "scale") == "yes":
            weight = question(job, "cylinder-weight", LAST_WEIGHT)
            if weight is not None:
                return weight
        step = next_step(job, know, "after")
        if step is not None:
            return step
    return FinishJob(outcome=job.charging_ended)


def connected(job: Job) -> bool:
    """Tell whether a hose may be on the unit."""
    return job.hoses


def added(job: Job) -> Mass | None:
    """Give the mass that left the cylinder in this job, or None without both weights."""
    before = read.mass(job, "cylinder-weight#0")
    after = read.mass(job, "cylinder-weight" + LAST_WEIGHT)
    if before is None or after is None:
        return None
    return Mass(max(0.0, before.kg - after.kg))  # a scale is off by an ounce at times


def drawn(job: Job) -> Mass | None:
    """Give the mass that left the cylinder so far by its latest weight, or None."""
    before = read.mass(job, "cylinder-weight#0")
    for opening in range(len(job.pulses), 0, -1):
        now = read.mass(job, f"cylinder-weight#{opening}")
        if before is not None and now is not None:
            return Mass(max(0.0, before.kg - now.kg))
    return None

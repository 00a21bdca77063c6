"""When the engine must be woken next."""

from companion.job import pulses
from companion.job.silence import silence_due
from companion.job.state import Closed, Job


def only_silence(job: Job) -> bool:
    """Tell whether nothing but the technician's silence is watched now."""
    settling = job.waiting is not None and job.halted is None
    return isinstance(job.valve, Closed) and not settling


def next_deadline(job: Job) -> float | None:
    """Give the next moment on the job's time line that needs a tick, or None."""
    if not isinstance(job.valve, Closed):
        return pulses.deadline(job.valve)
    if job.waiting is not None and not only_silence(job):
        return job.waiting.until
    return silence_due(job)

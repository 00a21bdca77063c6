"""What an opening is aimed at: the seconds that buy what is missing, pessimistically."""

from companion.job.coach.learning import answered, rate
from companion.job.coach.moments import moments
from companion.job.coach.priors import (
    AIM_K,
    SIGMAS,
    SIGMAS_FLAT,
    by_superheat,
    close_up_share,
)
from companion.job.facts import Hint
from companion.job.know import Know
from companion.job.state import Job


def is_vapor(job: Job) -> bool:
    """Tell whether vapor is drawn."""
    return job.method is not None and job.method.draw == "vapor"


def for_missing(job: Job, know: Know, hint: Hint, missing: float) -> float:
    """Give the seconds fully turned that buy a share of what is missing [K]."""
    found = rate(job, know, hint)
    hidden = flat(job) or (not by_superheat(job) and not answered(job))
    sigmas = SIGMAS_FLAT if hidden else SIGMAS
    to_aim = max(0.0, missing - AIM_K)
    return close_up_share(job) * to_aim / found.at(sigmas)


def flat(job: Job) -> bool:
    """Tell whether a valve unit hides how much is missing."""
    now = moments(job).get(len(job.pulses))
    return now is not None and now.flat

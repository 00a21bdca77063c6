"""How far a round of readings was from the target."""

from companion.job.state import Job


def short_by(job: Job) -> float | None:
    """Give how far the latest round was from the target [K]; above zero is short."""
    return round_short_by(job, len(job.rounds) - 1)


def round_short_by(job: Job, index: int) -> float | None:
    """Give how far one round was from the target [K]; above zero is short of charge.

    Superheat above its target and subcooling below its target both mean short.
    """
    if not 0 <= index < len(job.rounds) or job.method is None:
        return None
    judged = job.rounds[index]
    if judged.target is None:
        return None
    if job.method.stop_by == "superheat":
        if judged.superheat is None:
            return None
        return judged.superheat.si - judged.target.si
    if judged.subcooling is None:
        return None
    return judged.target.si - judged.subcooling.si

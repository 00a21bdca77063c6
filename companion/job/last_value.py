"""The last value of the reading that is due now, for the ear to listen around."""

from companion.job import read
from companion.job.amounts import Amount
from companion.job.facts import NumberAnswer
from companion.job.state import Closed, Job, Open, Opening


def last_value(job: Job) -> Amount | None:
    """Give the value before the one that is asked for, or called out, now."""
    valve = job.valve
    match valve:
        case Opening() | Open():
            plan = valve.plan if isinstance(valve, Open) else valve
            return valve.last or plan.base
        case Closed() if job.asked is not None:
            return previous(job, job.asked.key)
        case _:
            return None


def previous(job: Job, key: str) -> Amount | None:
    """Give the value of the round or opening before a key's, if there was one."""
    for mark in "@#":
        item, found, number = key.partition(mark)
        if not found:
            continue
        if number.endswith(("b", "c")):
            return _value(job, f"{item}{mark}{number.rstrip('bc')}")
        if number.isdigit() and int(number) > 0:
            return _value(job, f"{item}{mark}{int(number) - 1}")
        if number == "end":
            latest = _value(job, f"{item}#{len(job.pulses)}")
            return latest or _value(job, f"{item}#0")
    return None


def _value(job: Job, key: str) -> Amount | None:
    answer = read.known(job, key)
    return answer.amount if isinstance(answer, NumberAnswer) else None

"""Which expectations are in force: what the ear listens for at this moment."""

from typing import assert_never

from companion.job.state import Closed, Closing, Job, Open, Opening

HALF_HEARD = "unsure"
"""The doubt of a word that is asked for once more, rather than read back."""


def expected_now(job: Job) -> tuple[str, ...]:
    """Give the ids of the expectations: the question, and its read-back if one waits."""
    valve = job.valve
    match valve:
        case Opening():
            return (_while_open(valve),)
        case Open():
            return (_while_open(valve.plan),)
        case Closing():
            return ("valve-closed",)
        case Closed():
            asked = job.asked.expects if job.asked else "nothing"
            return ("read-back", asked) if read_back(job) else (asked,)
        case _:
            assert_never(valve)


def read_back(job: Job) -> bool:
    """Tell whether a value was read back and waits for a yes."""
    return job.pending is not None and job.pending.doubt != HALF_HEARD


def _while_open(plan: Opening) -> str:
    return "open-suction" if plan.ceiling is not None else "open-weight"

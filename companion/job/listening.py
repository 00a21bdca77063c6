"""Which expectations are in force: what the ear listens for at this moment."""

from typing import assert_never

from companion.job.state import Closed, Closing, Job, Open, Opening


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
            return ("read-back", asked) if job.pending is not None else (asked,)
        case _:
            assert_never(valve)


def _while_open(plan: Opening) -> str:
    return "open-suction" if plan.ceiling is not None else "open-weight"

"""Phase: everything that must be complete before anything opens.

Safety first, then the checks that rule out other faults, the leak, the weather; then
the method with its reason; then hoses and purge. Each is a checklist in data; this
module only says which lists apply, and in what order.
"""

from checklists.walk import steps_for
from companion.job import read
from companion.job.asking import question
from companion.job.items import AskStep, DecideMethod, Item
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job


def next_item(job: Job, know: Know) -> Item | None:
    """Give the next safety step, pre-check or question about leak and weather."""
    checks = ("pre-checks",) if read.running(job) else ()
    return (
        next_step(job, know, "site-safety", "flammable-safety", *checks, "leak")
        or question(job, "leak-state")
        or _loss(job, know)
        or _weather(job)
    )


def _loss(job: Job, know: Know) -> Item | None:
    """Ask how much was lost, where a leak may have changed the make-up of a blend."""
    refrigerant = unit_refrigerant(job, know)
    if read.option(job, "leak-state") != "repaired" or not read.running(job):
        return None
    if refrigerant is None or not refrigerant.high_glide:
        return None
    return question(job, "loss")


def _weather(job: Job) -> Item | None:
    if not read.running(job):
        return None
    keys = ["outdoor-temperature"]
    if read.option(job, "unit-state") == "cooling" and read.fixed_orifice(job):
        keys.append("return-wet-bulb")
    for key in keys:
        item = question(job, key)
        if item is not None:
            return item
    return None


def next_method(job: Job, know: Know) -> Item | None:  # noqa: ARG001 - phases share a shape
    """Decide the method, then have the technician agree to it."""
    if job.method is None:
        return DecideMethod()
    return question(job, "method-agreed")


def next_connect(job: Job, know: Know) -> Item | None:
    """Give the next step of hoses and purge, proof of evacuation, and the first weight.

    Hoses come before the proof: zeroing a gauge in open air would break a vacuum.
    """
    proof = ("evacuated",) if read.no_charge(job) else ()
    step = next_step(job, know, "connect", *proof)
    if step is not None:
        return step
    if read.option(job, "scale") == "yes":
        return question(job, "cylinder-weight", "#0")
    return None


def next_step(job: Job, know: Know, *list_ids: str) -> Item | None:
    """Give the first step of these lists that has no answer, or None after the last."""
    known = context(job, know)
    for list_id in list_ids:
        checklist = know.checklists[list_id]
        for step in steps_for(checklist, known):
            key = f"{list_id}/{step.id}"
            if key not in job.answers:
                return AskStep(step=step, key=key, revision=checklist.revision)
    return None


OVER = ("overcharged", "over-weight", "creep", "plate-charge-gone")
"""Outcomes after which too much is, or may be, in the unit."""
SUSPECT = (
    "flood-back",
    "flooding-suspected",
    "compressor-suspected",
    "wrong-refrigerant-suspected",
    "non-condensables-suspected",
)
"""Outcomes after which nothing more should be drawn into the unit."""


def _charge(job: Job) -> str:
    if job.charging_ended in OVER:
        return "over"
    return "suspect" if job.charging_ended in SUSPECT else "right"


def context(job: Job, know: Know) -> dict[str, str]:
    """Give what checklist steps may depend on, as far as it is known by now."""
    found: dict[str, str] = {}
    refrigerant = unit_refrigerant(job, know)
    if refrigerant is not None:
        found["safety_group"] = refrigerant.caution_group
    state = read.option(job, "unit-state")
    if state is not None and state != "unknown":
        runs = state in read.RUNNING or read.option(job, "unit-running") == "yes"
        found["unit"] = "running" if runs else "off"
    for key in ("metering", "scale"):
        value = read.option(job, key)
        if value is not None and value != "unknown":
            found[key] = value
    if job.charging_ended is not None:
        found["charge"] = _charge(job)
    if job.method is not None:
        method = job.method.method
        found["method"] = "liquid-pulses" if method == "liquid-restrictor" else method
        found["draw"] = job.method.draw
        found["cylinder"] = job.method.cylinder
    elif state is not None and refrigerant is not None:
        # The method itself comes after the checks; what they depend on is known.
        running = "liquid-pulses" if refrigerant.kind == "zeotrope" else "vapor"
        found["method"] = "weigh-in" if state in read.NO_CHARGE else running
    return found

"""Phase: which unit, which refrigerant, which cylinder.

The unit's nameplate comes first and the cylinder second, each designation read back
and confirmed. A cylinder that does not hold what the nameplate names is never taken:
mixed refrigerant means recovering everything.
"""

from companion.job import read
from companion.job.asking import question
from companion.job.foreseeing import foresee
from companion.job.items import DecideMethod, Item
from companion.job.know import Know
from companion.job.state import Job


def next_item(job: Job, know: Know) -> Item | None:
    """Give the first question of this phase that has no answer yet.

    What rules out any charging is said as soon as it is certain.
    """
    if job.method is None and foresee(job, know) is not None:
        return DecideMethod()
    for key in _wanted(job):
        item = question(job, key)
        if item is not None:
            return item
    return None


def _wanted(job: Job) -> tuple[str, ...]:
    state = read.option(job, "unit-state")
    keys = ["unit-refrigerant", "unit-state", "metering", "factory-charge"]
    if state in read.NO_CHARGE:
        keys.append("charge-adder")
    else:
        keys.append("critical-charge")
    if state != "heating" and not read.fixed_orifice(job):
        keys.append("target-subcooling")
    keys += ["cylinder-refrigerant", "dip-tube"]
    if state in read.RUNNING:
        keys.append("restrictor")
    keys.append("scale")
    return tuple(keys)

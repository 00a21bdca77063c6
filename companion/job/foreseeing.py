"""Say that nothing may be added as soon as it is certain, not after every check.

The method is decided when everything is known. But a unit that heats, a cylinder
without a scale for a weigh-in or a metering device nobody can name rule it out much
earlier. So what was not asked yet is taken at its best here; a refusal that stands
even then can be spoken at once. An answer of "unknown" is never taken at its best.
"""

from dataclasses import replace

from companion.job import read
from companion.job.know import Know
from companion.job.method import method_inputs, refused
from companion.job.refrigerant import unit_refrigerant
from companion.job.refusals import Refused
from companion.job.state import Job
from companion.knowledge.charging import decide_method
from companion.knowledge.methods import MethodInputs, MethodRefused
from companion.knowledge.quantities import Temperature

_BEST = MethodInputs(
    identity_proven=True,
    leak="repaired",
    loss="small",
    critical_charge=False,
    outdoor=Temperature.from_f(85),
    metering="thermostatic",
    dip_tube=False,
)
"""What each input may be at its best; the rest is known before anything is foreseen."""
_ASKED_BY = {
    "identity_proven": "cylinder-refrigerant",
    "leak": "leak-state",
    "loss": "loss",
    "critical_charge": "critical-charge",
    "outdoor": "outdoor-temperature",
    "metering": "metering",
    "dip_tube": "dip-tube",
}
"""Input to the question that settles it."""


def foresee(job: Job, know: Know) -> Refused | None:
    """Give the refusal that no later answer can lift, or None."""
    if read.known(job, "unit-refrigerant") is None:
        return None
    named = unit_refrigerant(job, know) is not None
    if named and read.known(job, "unit-state") is None:
        return None
    if read.no_charge(job):
        weigh_in = _no_weigh_in(job)
        if weigh_in is not None:
            return weigh_in
    found = decide_method(_at_best(job, know), know.knowledge.limits)
    return refused(found) if isinstance(found, MethodRefused) else None


def _at_best(job: Job, know: Know) -> MethodInputs:
    known = method_inputs(job, know)
    best = {
        name: getattr(_BEST, name)
        for name, question in _ASKED_BY.items()
        if read.known(job, question) is None
    }
    return replace(known, **best)


def _no_weigh_in(job: Job) -> Refused | None:
    """Refuse a weigh-in that cannot be one: without a scale or a charge to go by."""
    if read.option(job, "scale") in ("no", "unknown"):
        return Refused(id="no-scale")
    if read.option(job, "factory-charge") == "unknown":
        return Refused(id="no-charge")
    return None

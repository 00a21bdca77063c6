"""Decide the charging method from the answers so far."""

from companion.job import read
from companion.job.amounts import Amount, amount
from companion.job.facts import MethodChosen
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.refusals import Refused
from companion.job.state import Job
from companion.knowledge.charging import decide_method
from companion.knowledge.methods import (
    Holds,
    Leak,
    Loss,
    Metering,
    Method,
    MethodInputs,
    MethodRefused,
    Season,
)
from companion.knowledge.targets import (
    SuperheatTarget,
    Target,
    target_subcooling,
    target_superheat,
)

_HOLDS: dict[str, Holds] = {
    "cooling": "partly",
    "heating": "partly",
    "off-charged": "partly",
    "evacuated": "evacuated",
    "empty": "empty",
}
# A unit that is off with a charge could be started in cooling, and should be.
_SEASON: dict[str, Season] = {
    "cooling": "cooling",
    "off-charged": "cooling",
    "heating": "heating",
}
METERING: dict[str, Metering] = {
    "fixed-orifice": "fixed-orifice",
    "thermostatic": "thermostatic",
    "electronic": "electronic",
}
_LEAK: dict[str, Leak] = {
    "none-found": "none-found",
    "repaired": "repaired",
    "unrepaired": "unrepaired",
}
_LOSS: dict[str, Loss] = {"small": "small", "large": "large", "unknown": "large"}
_YES: dict[str, bool] = {"yes": True, "no": False}
_ASKED_AS = {
    "holds": "unit-state",
    "leak": "leak-state",
    "critical_charge": "critical-charge",
    "metering": "metering",
    "refrigerant": "unit-refrigerant",
}
"""Inputs that may be answered with "don't know", by the question that asks for them."""


def choose_method(job: Job, know: Know, at: float) -> MethodChosen | Refused:
    """Choose the method and its target, or say why nothing may be added."""
    knowledge = know.knowledge
    chosen = decide_method(method_inputs(job, know), knowledge.limits)
    if not isinstance(chosen, Method):
        return refused(chosen)
    target = _target(job, know, chosen)
    if isinstance(target, Refused):
        return target
    return MethodChosen(
        at=at,
        method=chosen.id,
        draw=chosen.draw,
        cylinder=chosen.cylinder,
        stop_by=chosen.stop_by,
        reason=_sentences(chosen.reason),
        source=chosen.source,
        target=target,
    )


def refused(found: MethodRefused) -> Refused:
    """Give the knowledge's refusal as the job's."""
    reason = f"{found.reason}. {found.what_to_do}"
    return Refused(
        id=found.refusal, missing=found.missing or "", reason=_sentences(reason)
    )


def method_inputs(job: Job, know: Know) -> MethodInputs:
    """Give what the method depends on, as far as it was answered."""
    state = read.option(job, "unit-state") or ""
    unit, cylinder = (
        read.name(job, "unit-refrigerant"),
        read.name(job, "cylinder-refrigerant"),
    )
    return MethodInputs(
        refrigerant=unit_refrigerant(job, know),
        identity_proven=unit is not None and unit == cylinder,
        precheck_fault=False,  # the pre-checks are complete before the method is decided
        precautions=True,  # and so is the list for flammables, where it applies
        leak=_LEAK.get(read.option(job, "leak-state") or ""),
        non_condensables_suspected=False,  # a pre-check step stops the job otherwise
        holds=_HOLDS.get(state),
        unit="running" if state in read.RUNNING else "off",
        loss=_LOSS.get(read.option(job, "loss") or ""),
        critical_charge=_YES.get(read.option(job, "critical-charge") or ""),
        season=_SEASON.get(state),
        outdoor=read.temperature(job, "outdoor-temperature"),
        metering=METERING.get(read.option(job, "metering") or ""),
        superheat_target=superheat_target(job, know),
        dip_tube=_YES.get(read.option(job, "dip-tube") or ""),
        restrictor=_YES.get(read.option(job, "restrictor") or ""),
        dont_know=frozenset(
            name
            for name, key in _ASKED_AS.items()
            if read.option(job, key) == "unknown"
        ),
    )


def superheat_target(job: Job, know: Know) -> SuperheatTarget | None:
    """Give the table's answer for the weather that was read, if it was."""
    outdoor = read.temperature(job, "outdoor-temperature")
    wet_bulb = read.temperature(job, "return-wet-bulb")
    if outdoor is None or wet_bulb is None:
        return None
    return target_superheat(know.knowledge.targets, outdoor, wet_bulb)


def _target(job: Job, know: Know, method: Method) -> Amount | Refused | None:
    if method.stop_by == "weight":
        if read.mass(job, "factory-charge") is not None:
            return None
        return Refused(id="no-charge")
    if method.stop_by == "superheat":
        found = superheat_target(job, know)
        if isinstance(found, Target):
            return amount(found.value)
        reason = "Without the weather there is no target superheat."
        return Refused(id="no-target", reason=reason)
    plate = read.difference(job, "target-subcooling")
    wanted = target_subcooling(know.knowledge.targets, plate)
    if isinstance(wanted, Target):
        return amount(wanted.value)
    return Refused(id="no-target-subcooling")


def _sentences(text: str) -> str:
    parts = [part.strip() for part in text.replace(";", ".").split(". ")]
    return " ".join(
        f"{part[0].upper()}{part[1:].rstrip('.')}." for part in parts if part
    )

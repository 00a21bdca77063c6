"""The rules of topping up a circuit that holds part of its charge, one function each.

They follow those of ``charging_rules``, in the order that ``charging`` gives them.
"""

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.charging_refusals import (
    RA3,
    RECOVER_FIRST,
    ask,
    prepare,
    refuse,
    unasked,
)
from companion.knowledge.charging_ways import BLENDS
from companion.knowledge.criteria import outdoor_valid
from companion.knowledge.limits import Limits
from companion.knowledge.methods import MethodInputs, MethodRefused


def make_up_kept(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send a high-glide blend to be recovered after a large loss."""
    found = inputs.refrigerant
    if not isinstance(found, Refrigerant) or not found.high_glide:
        return None
    if inputs.loss == "small":
        return None
    if inputs.loss is None and unasked(inputs, "loss"):
        # Where no leak was found, nothing says that the make-up has changed.
        if inputs.leak != "repaired":
            return None
        return ask("loss", "estimate whether the loss was small or large")
    return prepare(
        inputs,
        "recover-first",
        f"{found.designation} has a high glide, and a large loss changes its make-up"
        if inputs.loss
        else f"{found.designation} has a high glide, and a loss of unknown size may have "
        "changed its make-up",
        "recover all of it, evacuate, and weigh in new refrigerant",
        RECOVER_FIRST,
        BLENDS,
    )


def not_critical(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send a unit of critical charge to be weighed in."""
    if inputs.critical_charge is False:
        return None
    if inputs.critical_charge is None and unasked(inputs, "critical_charge"):
        return ask("critical_charge", "find out whether the charge must be weighed in")
    return prepare(
        inputs,
        "recover-first",
        "this unit's charge is critical and must be weighed"
        if inputs.critical_charge
        else "this unit's charge may be critical, and then it must be weighed",
        "recover the rest, evacuate, and weigh in the charge of the plate",
        RECOVER_FIRST,
    )


def cooling_weather(inputs: MethodInputs, limits: Limits) -> MethodRefused | None:
    """Refuse where no cooling test is possible."""
    if inputs.season is None and unasked(inputs, "season"):
        return ask("season", "find out whether the unit can run in cooling now")
    if inputs.season != "cooling":
        return prepare(
            inputs,
            "recover-first",
            "there is no general target while the unit heats"
            if inputs.season == "heating"
            else "nobody can tell whether it can run in cooling, and there is no general "
            "target otherwise",
            "use the maker's heating chart, or recover, evacuate and weigh in",
            RECOVER_FIRST,
        )
    if inputs.outdoor is None and unasked(inputs, "outdoor"):
        return ask("outdoor", "read the air temperature at the outdoor coil")
    if inputs.outdoor is None or not outdoor_valid(inputs.outdoor, limits):
        return _too_cold(inputs, limits)
    return None


def _too_cold(inputs: MethodInputs, limits: Limits) -> MethodRefused:
    least = f"the {limits.outdoor_min.f:.0f} F of a valid test"
    return prepare(
        inputs,
        "too-cold",
        f"without the outdoor temperature nobody can tell that it is above {least}"
        if inputs.outdoor is None
        else f"outdoors it is {inputs.outdoor.f:.0f} F, below {least}",
        "come back in warmer weather, use the maker's cold-weather procedure, or "
        "recover, evacuate and weigh in",
        RECOVER_FIRST,
        limits.citation("outdoor_min"),
    )


def can_be_judged(inputs: MethodInputs, limits: Limits) -> MethodRefused | None:
    """Refuse where the charge cannot be judged while adding."""
    if inputs.unit != "running":
        minutes = limits.running_before_reading.s / 60
        return refuse(
            "run-first",
            "a charge can only be judged while the unit runs in cooling",
            f"start the unit in cooling and let it run {minutes:.0f} minutes",
            limits.citation("running_before_reading"),
        )
    if inputs.metering is None and unasked(inputs, "metering"):
        return ask("metering", "find the metering device at the indoor coil")
    if inputs.metering is None:
        return prepare(
            inputs,
            "no-target",
            "without the metering device nobody can tell what to charge to",
            "find it at the indoor coil, or recover, evacuate and weigh in",
            RECOVER_FIRST,
        )
    if inputs.metering != "fixed-orifice":
        return None
    return _has_superheat_target(inputs)


def _has_superheat_target(inputs: MethodInputs) -> MethodRefused | None:
    """Refuse a fixed orifice where the table has no target, or cannot be asked.

    Before the weather was looked up the decision goes on: the target follows it.
    """
    target = inputs.superheat_target
    if target is None and unasked(inputs, "superheat_target"):
        return None
    if target is not None and target.kind == "target":
        return None
    if target is None:
        why = "without the return wet bulb there is no target superheat"
        to_do = "warm the rooms, come back in other weather, or weigh the charge in"
        return refuse("no-target", why, to_do, RA3)
    return refuse("no-target", target.why, target.what_to_do, RA3)

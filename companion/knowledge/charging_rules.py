"""The rules that refuse to charge, one function each; ``charging`` puts them in order.

Each looks at what is known and returns a refusal, or nothing to pass the decision on.
What is not known is asked for by the first rule that needs it.
"""

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.charging_ways import BLENDS, PRACTICE, WEIGH_IN, weigh_in
from companion.knowledge.limits import Limits
from companion.knowledge.methods import (
    MethodInputs,
    MethodRefused,
    Preparation,
    RefusalKind,
)
from companion.knowledge.tables import Citation

_RA3 = Citation(source="cec-ra3-2008", at="RA3.2", mark="read at source")
_LEAKS = Citation(
    source="contractor-leak-guidance", at="repair before recharge", mark="second-hand"
)
_OWN = Citation(source="own-choice", at="charging decision", mark="own design")
_EVACUATE_FIRST: tuple[Preparation, ...] = ("repair", "pressure-test", "evacuate")
_RECOVER_FIRST: tuple[Preparation, ...] = ("stop", "recover", *_EVACUATE_FIRST)


def _refuse(
    refusal: RefusalKind,
    reason: str,
    what_to_do: str,
    citation: Citation = _OWN,
    *,
    values: dict[str, str] | None = None,
) -> MethodRefused:
    return MethodRefused(
        refusal=refusal,
        reason=reason,
        what_to_do=what_to_do,
        citation=citation,
        values=values or {},
    )


def ask(missing: str, what_to_do: str) -> MethodRefused:
    """Refuse because an input is not known."""
    return MethodRefused(
        refusal="not-known",
        missing=missing,
        reason=f"{missing.replace('_', ' ')} is not known, and the method depends on it",
        what_to_do=what_to_do,
        citation=_OWN,
    )


def _prepare(
    inputs: MethodInputs,
    refusal: RefusalKind,
    reason: str,
    what_to_do: str,
    first: tuple[Preparation, ...],
    citation: Citation = WEIGH_IN,
) -> MethodRefused:
    """Refuse for now, with the way to a weigh-in."""
    return MethodRefused(
        refusal=refusal,
        reason=reason,
        what_to_do=what_to_do,
        citation=citation,
        first=first,
        then=None if inputs.dip_tube is None else weigh_in(inputs),
    )


def known_refrigerant(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse a refrigerant that is not supported or not proven."""
    found = inputs.refrigerant
    if found is None:
        return ask("refrigerant", "read the refrigerant from the unit's plate")
    if not isinstance(found, Refrigerant):
        return _refuse(
            "refrigerant",
            found.reason,
            "do not add refrigerant with this program",
            values={"kind": found.kind},
        )
    if inputs.identity_proven is not True:
        return _refuse(
            "identity",
            f"it is not proven that the circuit holds {found.designation}",
            "compare plate, label and standing pressure; if they disagree, have the "
            "refrigerant analyzed",
        )
    return None


def no_open_fault(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse while a pre-check fault is open."""
    if inputs.precheck_fault is None:
        return ask("precheck_fault", "do the pre-checks of air flow and electrics")
    if inputs.precheck_fault:
        return _refuse(
            "fix-first",
            "a pre-check fault is open, and charge cannot make up for it",
            "put the fault right, then read again",
            _RA3,
        )
    return None


def no_open_leak(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse while a leak is open or nobody has looked."""
    match inputs.leak:
        case None:
            return _refuse(
                "leak",
                "nobody has looked for the leak yet",
                "look for the leak before adding anything",
                _LEAKS,
                values={"leak": "unknown"},
            )
        case "unrepaired":
            return _refuse(
                "leak",
                "the leak is not repaired",
                "repair the leak before adding anything",
                _LEAKS,
                values={"leak": "unrepaired"},
            )
        case "none-found" | "repaired":
            return None


def known_content(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send an empty circuit to be evacuated, and stop a unit under vacuum."""
    if inputs.holds is None:
        return ask("holds", "read the standing pressure, or say what was done before")
    if inputs.holds == "empty":
        first = _EVACUATE_FIRST if inputs.unit == "off" else ("stop", *_EVACUATE_FIRST)
        return _prepare(
            inputs,
            "evacuate-first",
            "the circuit is empty, so air and moisture may be inside",
            "repair, pressure-test with dry nitrogen, evacuate, then weigh the charge in",
            first,
        )
    if inputs.holds == "evacuated" and inputs.unit is None:
        return ask("unit", "make sure that the compressor is off")
    if inputs.holds == "evacuated" and inputs.unit == "running":
        return _refuse(
            "stop-first",
            "a compressor must never run in a deep vacuum",
            "stop the unit, then weigh the charge in",
            PRACTICE,
        )
    return None


def no_foreign_gas(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send a circuit with foreign gas to be recovered."""
    if inputs.holds != "partly":
        return None
    if inputs.non_condensables_suspected is None:
        return ask(
            "non_condensables_suspected",
            "compare the standing pressure with the saturation pressure",
        )
    if inputs.non_condensables_suspected:
        return _prepare(
            inputs,
            "recover-first",
            "air or another gas may be in the circuit",
            "recover, repair, evacuate, then weigh the charge in",
            _RECOVER_FIRST,
        )
    return None


def make_up_kept(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send a high-glide blend to be recovered after a large loss."""
    found = inputs.refrigerant
    if not isinstance(found, Refrigerant) or not found.high_glide:
        return None
    if inputs.loss is None and inputs.leak == "repaired":
        return ask("loss", "estimate whether the loss was small or large")
    if inputs.loss == "large":
        return _prepare(
            inputs,
            "recover-first",
            f"{found.designation} has a high glide, and a large loss changes its make-up",
            "recover all of it, evacuate, and weigh in new refrigerant",
            _RECOVER_FIRST,
            BLENDS,
        )
    return None


def not_critical(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send a unit of critical charge to be weighed in."""
    if inputs.critical_charge is None:
        return ask("critical_charge", "find out whether the charge must be weighed in")
    if inputs.critical_charge:
        return _prepare(
            inputs,
            "recover-first",
            "this unit's charge is critical and must be weighed",
            "recover the rest, evacuate, and weigh in the charge of the plate",
            _RECOVER_FIRST,
        )
    return None


def cooling_weather(inputs: MethodInputs, limits: Limits) -> MethodRefused | None:
    """Refuse where no cooling test is possible."""
    if inputs.season is None:
        return ask("season", "find out whether the unit can run in cooling now")
    if inputs.season == "heating":
        return _prepare(
            inputs,
            "recover-first",
            "there is no general target while the unit heats",
            "use the maker's heating chart, or recover, evacuate and weigh in",
            _RECOVER_FIRST,
        )
    if inputs.outdoor is None:
        return ask("outdoor", "read the air temperature at the outdoor coil")
    if inputs.outdoor < limits.outdoor_min:
        return _prepare(
            inputs,
            "too-cold",
            f"outdoors it is {inputs.outdoor.f:.0f} F, below the "
            f"{limits.outdoor_min.f:.0f} F of a valid test",
            "come back in warmer weather, use the maker's cold-weather procedure, or "
            "recover, evacuate and weigh in",
            _RECOVER_FIRST,
            limits.citation("outdoor_min"),
        )
    return None


def can_be_judged(inputs: MethodInputs, limits: Limits) -> MethodRefused | None:
    """Refuse where the charge cannot be judged while adding."""
    if inputs.unit != "running":
        minutes = limits.running_before_reading.s / 60
        return _refuse(
            "run-first",
            "a charge can only be judged while the unit runs in cooling",
            f"start the unit in cooling and let it run {minutes:.0f} minutes",
            limits.citation("running_before_reading"),
        )
    if inputs.metering is None:
        return ask("metering", "find the metering device at the indoor coil")
    target = inputs.superheat_target
    if inputs.metering != "fixed-orifice" or target is None or target.kind == "target":
        return None
    return _refuse(
        "no-target",
        target.reason,
        "warm the rooms, come back in other weather, or weigh the charge in",
        _RA3,
    )

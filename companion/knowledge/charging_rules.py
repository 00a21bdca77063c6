"""The rules that come before any charging, one function each.

``charging`` puts them in order. Each looks at what is known and returns a refusal, or
nothing to pass the decision on. What was not asked is asked for by the first rule that
needs it; what cannot be told is refused there too, with the safe way on.
"""

from companion.knowledge.catalogue import Found, Refrigerant
from companion.knowledge.charging_refusals import (
    EVACUATE_FIRST,
    FLAMMABLE,
    LEAKS,
    RA3,
    RECOVER_FIRST,
    ask,
    prepare,
    refuse,
    unasked,
)
from companion.knowledge.charging_ways import PRACTICE
from companion.knowledge.limits import Limits
from companion.knowledge.methods import MethodInputs, MethodRefused


def known_refrigerant(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse a refrigerant that is not supported or not proven."""
    found = inputs.refrigerant
    if found is None and unasked(inputs, "refrigerant"):
        return ask("refrigerant", "read the refrigerant from the unit's plate")
    if found is None:
        return refuse(
            "identity",
            "nobody can tell what the circuit holds",
            "have the refrigerant analyzed, and add nothing until then",
        )
    if not isinstance(found, Refrigerant):
        return refuse(
            "refrigerant",
            found.reason,
            "do not add refrigerant with this program",
            values={"kind": found.kind},
        )
    if inputs.cylinder is not None and inputs.cylinder != found:
        return _other_cylinder(found, inputs.cylinder)
    if inputs.identity_proven is not True:
        return refuse(
            "identity",
            f"it is not proven that the circuit holds {found.designation}",
            "compare plate, label and standing pressure; if they disagree, have the "
            "refrigerant analyzed",
        )
    return None


def _other_cylinder(unit: Refrigerant, cylinder: Found) -> MethodRefused:
    """Refuse a cylinder of another refrigerant than the unit's."""
    if not isinstance(cylinder, Refrigerant):
        named = "something else"
    else:
        named = cylinder.designation
    flammable = isinstance(cylinder, Refrigerant) and cylinder.flammable
    danger = (
        "; it is flammable, and this unit was not made for that"
        if flammable and not unit.flammable
        else ""
    )
    return refuse(
        "identity",
        f"the unit takes {unit.designation} and the cylinder holds {named}{danger}",
        f"take a cylinder of {unit.designation}; never mix refrigerants",
        values={"unit": unit.designation, "cylinder": named},
    )


def flammable_precautions(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse a flammable refrigerant until its precautions are taken."""
    found = inputs.refrigerant
    if not isinstance(found, Refrigerant) or not found.flammable or inputs.precautions:
        return None
    what_to_do = (
        "ventilate, keep sparks and flames away, place extinguisher and detector, "
        "and prove the earth connection first"
    )
    if inputs.precautions is None and unasked(inputs, "precautions"):
        return ask("precautions", what_to_do)
    return refuse(
        "precautions",
        f"{found.designation} is flammable ({found.caution_group}), and its precautions "
        "are not taken",
        what_to_do,
        FLAMMABLE,
    )


def no_open_fault(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse while a pre-check fault is open."""
    if inputs.precheck_fault is False:
        return None
    if inputs.precheck_fault is None and unasked(inputs, "precheck_fault"):
        return ask("precheck_fault", "do the pre-checks of air flow and electrics")
    return refuse(
        "fix-first",
        "a pre-check fault is open, and charge cannot make up for it"
        if inputs.precheck_fault
        else "the pre-checks are not done, and charge cannot make up for another fault",
        "put the fault right, then read again",
        RA3,
    )


def no_open_leak(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Refuse while a leak is open or nobody has looked."""
    match inputs.leak:
        case None:
            return refuse(
                "leak",
                "nobody has looked for the leak yet",
                "look for the leak before adding anything",
                LEAKS,
                values={"leak": "unknown"},
            )
        case "unrepaired":
            return refuse(
                "leak",
                "the leak is not repaired",
                "repair the leak before adding anything",
                LEAKS,
                values={"leak": "unrepaired"},
            )
        case "none-found" | "repaired":
            return None


def known_content(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send an empty circuit to be evacuated, and stop a unit under vacuum."""
    if inputs.holds is None and unasked(inputs, "holds"):
        return ask("holds", "read the standing pressure, or say what was done before")
    if inputs.holds is None:
        return prepare(
            inputs,
            "recover-first",
            "nobody can tell what the circuit holds",
            "read the standing pressure; where that tells nothing, recover what is in it, "
            "pressure-test, evacuate, then weigh the charge in",
            RECOVER_FIRST,
        )
    if inputs.holds == "empty":
        first = EVACUATE_FIRST if inputs.unit == "off" else ("stop", *EVACUATE_FIRST)
        return prepare(
            inputs,
            "evacuate-first",
            "the circuit is empty, so air and moisture may be inside",
            "repair, pressure-test with dry nitrogen, evacuate, then weigh the charge in",
            first,
        )
    if inputs.holds == "partly" or inputs.unit == "off":
        return None
    if inputs.unit is None and unasked(inputs, "unit"):
        return ask("unit", "make sure that the compressor is off")
    return refuse(
        "stop-first",
        "a compressor must never run in a deep vacuum",
        "stop the unit, then weigh the charge in",
        PRACTICE,
    )


def no_foreign_gas(inputs: MethodInputs, _: Limits) -> MethodRefused | None:
    """Send a circuit with foreign gas to be recovered."""
    suspected = inputs.non_condensables_suspected
    if inputs.holds != "partly" or suspected is False:
        return None
    if suspected is None and unasked(inputs, "non_condensables_suspected"):
        return ask(
            "non_condensables_suspected",
            "compare the standing pressure with the saturation pressure",
        )
    return prepare(
        inputs,
        "recover-first",
        "air or another gas may be in the circuit"
        if suspected
        else "nobody can tell that no air or other gas is in the circuit",
        "recover, repair, evacuate, then weigh the charge in",
        RECOVER_FIRST,
    )

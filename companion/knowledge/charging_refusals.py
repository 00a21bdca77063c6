"""How a rule of charging refuses: plainly, by asking, or with the way to a weigh-in."""

from companion.knowledge.charging_ways import WEIGH_IN, weigh_in
from companion.knowledge.methods import (
    MethodInputs,
    MethodRefused,
    Preparation,
    RefusalKind,
)
from companion.knowledge.tables import Citation

RA3 = Citation(source="cec-ra3-2008", at="RA3.2", mark="read at source")
LEAKS = Citation(
    source="contractor-leak-guidance", at="repair before recharge", mark="second-hand"
)
FLAMMABLE = Citation(source="iec-60335-2-40", at="before charging", mark="second-hand")
OWN = Citation(source="own-choice", at="charging decision", mark="own design")
EVACUATE_FIRST: tuple[Preparation, ...] = ("repair", "pressure-test", "evacuate")
RECOVER_FIRST: tuple[Preparation, ...] = ("stop", "recover", *EVACUATE_FIRST)


def refuse(
    refusal: RefusalKind,
    reason: str,
    what_to_do: str,
    citation: Citation = OWN,
    *,
    values: dict[str, str] | None = None,
) -> MethodRefused:
    """Refuse, with nothing to say of what follows."""
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
        citation=OWN,
    )


def prepare(
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


def unasked(inputs: MethodInputs, name: str) -> bool:
    """Tell whether an input is missing because nobody was asked for it yet."""
    return name not in inputs.dont_know

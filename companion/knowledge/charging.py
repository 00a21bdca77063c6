"""Which charging method fits, or why none does yet.

The rules, in this order; the first that applies decides:

1. A refrigerant that is not supported, or whose identity is not proven, or a cylinder
   that holds another: do not add. A flammable one without its precautions: not yet.
2. An open fault or leak is put right first; charge never makes up for a fault.
3. An empty circuit: repair, test, evacuate, weigh in. A vacuum: weigh in as liquid.
4. Foreign gas, or a circuit that was open: recover, repair, evacuate, weigh in.
5. A blend of high glide after a large loss: recover all, weigh in new.
6. A critical charge: recover, weigh in.
7. No cooling possible now: recover, weigh in.
8. Outdoors too cold: the same, or come back.
9. A unit that stands still cannot be judged; a fixed orifice without a target neither.
10. Otherwise the running unit is topped up through the suction port: a zeotrope as
    throttled liquid, anything else as vapor unless a restrictor makes liquid safe; a
    fixed orifice to its superheat, a valve to its subcooling.

What was not asked yet is asked for, at the rule that needs it, so that no question is
put whose answer cannot matter. An answer of "don't know" takes the safe branch of that
rule: a leak counts as open, a loss as large, a charge as critical, a circuit as holding
foreign gas, the weather as too cold, a restrictor as not fitted, and without a metering
device or a wet bulb there is no target to charge to.

References
----------
California Energy Commission, 2008 and 2013 Reference Residential Appendix RA3.2
(conditions, weigh-in as the reference method); trade guidance on blends; makers'
manuals. See ``sources.toml``.
"""

from collections.abc import Callable

from companion.knowledge.charging_refusals import ask
from companion.knowledge.charging_rules import (
    flammable_precautions,
    known_content,
    known_refrigerant,
    no_foreign_gas,
    no_open_fault,
    no_open_leak,
)
from companion.knowledge.charging_ways import top_up, weigh_in
from companion.knowledge.limits import Limits
from companion.knowledge.methods import Method, MethodInputs, MethodRefused
from companion.knowledge.topping_up_rules import (
    can_be_judged,
    cooling_weather,
    make_up_kept,
    not_critical,
)

Rule = Callable[[MethodInputs, Limits], MethodRefused | None]
"""A rule that refuses, or passes the decision on."""

_RULES_BEFORE_ANYTHING: tuple[Rule, ...] = (
    known_refrigerant,
    flammable_precautions,
    no_open_fault,
    no_open_leak,
    known_content,
    no_foreign_gas,
)
_RULES_FOR_TOPPING_UP: tuple[Rule, ...] = (
    make_up_kept,
    not_critical,
    cooling_weather,
    can_be_judged,
)


def decide_method(inputs: MethodInputs, limits: Limits) -> Method | MethodRefused:
    """Choose the charging method, or refuse with what to do.

    Parameters
    ----------
    inputs
        What is known; see :class:`MethodInputs`.
    limits
        The limits in force: outdoor minimum and running time are used.

    Returns
    -------
    Method or MethodRefused
        Both name their reason and source. Never raises.
    """
    for rule in _RULES_BEFORE_ANYTHING:
        refused = rule(inputs, limits)
        if refused is not None:
            return refused
    evacuated = inputs.holds == "evacuated"
    for rule in () if evacuated else _RULES_FOR_TOPPING_UP:
        refused = rule(inputs, limits)
        if refused is not None:
            return refused
    if inputs.dip_tube is None:
        return ask("dip_tube", "read the marking on the cylinder for a dip tube")
    return weigh_in(inputs) if evacuated else top_up(inputs)

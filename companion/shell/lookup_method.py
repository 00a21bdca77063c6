"""The look-up of the charging method.

On the command line most of what the choice depends on is left out. What is left out is
taken as being in order, and the answer lists every such assumption; the engine, which
asks the technician instead, assumes nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.charging import decide_method
from companion.knowledge.loading import Knowledge
from companion.knowledge.methods import (
    Holds,
    Leak,
    Loss,
    Metering,
    Method,
    MethodInputs,
    MethodRefused,
    Season,
    Unit,
)
from companion.knowledge.quantities import Temperature
from companion.knowledge.targets import SuperheatTarget, target_superheat
from companion.shell.lookup_answer import Answer, LookupRefusal, source_text
from companion.shell.lookup_arguments import choice, temperature_or_none

_SAME_AS_EMPTY = "full-loss"


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodArguments:
    """The arguments of the look-up, as typed; None where left out.

    ``unit``, ``holds`` and ``metering`` are asked for where they matter; the others
    are assumed to be in order.
    """

    refrigerant: str
    unit: str | None = None
    holds: str | None = None
    metering: str | None = None
    season: str | None = None
    outdoor: str | None = None
    wet_bulb: str | None = None
    leak: str | None = None
    loss: str | None = None
    restrictor: bool = False
    dip_tube: bool = False
    critical_charge: bool = False
    precheck_fault: bool = False
    non_condensables: bool = False


def look_up_method(knowledge: Knowledge, arguments: MethodArguments) -> Answer:
    """Say how to charge.

    Where something must be done first (recover, evacuate), the answer names it and the
    method that follows.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If nothing may be added now; the message says why and what to do.
    """
    inputs = _inputs(knowledge, arguments)
    assumed = _assumed(arguments)
    found = decide_method(inputs, knowledge.limits)
    if isinstance(found, Method):
        json, lead = _method_json(knowledge, found), ""
    elif found.then is None:
        kind = found.values.get("kind", found.refusal)  # the catalogue's own kind
        raise LookupRefusal(kind, f"{found.reason}; {found.what_to_do}")
    else:
        json = _later_json(knowledge, found, found.then)
        lead = f"First: {', '.join(found.first)}. Then:\n"
    json["assumed"] = assumed
    text = f"{lead}{_sentence(json)}\nBecause {json['reason']}."
    if assumed:
        text += f"\nAssumed: {', '.join(assumed)}."
    return Answer(json=json, text=text)


def _inputs(knowledge: Knowledge, arguments: MethodArguments) -> MethodInputs:
    limits = knowledge.limits
    holds = "empty" if arguments.holds == _SAME_AS_EMPTY else arguments.holds
    outdoor = temperature_or_none("--outdoor", arguments.outdoor)
    return MethodInputs(
        refrigerant=knowledge.catalogue.get(arguments.refrigerant),
        identity_proven=True,
        precheck_fault=arguments.precheck_fault,
        leak=choice("--leak", arguments.leak, _words(Leak)) or "repaired",
        non_condensables_suspected=arguments.non_condensables,
        holds=choice("--holds", holds, _words(Holds)),
        unit=choice("--unit", arguments.unit, _words(Unit)),
        loss=choice("--loss", arguments.loss, _words(Loss)) or "small",
        critical_charge=arguments.critical_charge,
        season=choice("--season", arguments.season, _words(Season)) or "cooling",
        outdoor=limits.outdoor_min if outdoor is None else outdoor,
        metering=choice("--metering", arguments.metering, _words(Metering)),
        superheat_target=_target(knowledge, arguments, outdoor),
        dip_tube=arguments.dip_tube,
        restrictor=arguments.restrictor,
    )


def _words(literal: Any) -> tuple[Any, ...]:
    return get_args(literal)


def _target(
    knowledge: Knowledge, arguments: MethodArguments, outdoor: Temperature | None
) -> SuperheatTarget | None:
    wet_bulb = temperature_or_none("--wet-bulb", arguments.wet_bulb)
    if wet_bulb is None or outdoor is None:
        return None
    return target_superheat(knowledge.targets, outdoor, wet_bulb)


def _assumed(arguments: MethodArguments) -> list[str]:
    said: Mapping[str, bool] = {
        "the refrigerant is proven by plate, label and standing pressure": False,
        "no pre-check fault is open": arguments.precheck_fault,
        "the leak is repaired": arguments.leak is not None,
        "the loss was small": arguments.loss is not None,
        "no foreign gas is inside": arguments.non_condensables,
        "the charge is not critical": arguments.critical_charge,
        "the unit can run in cooling": arguments.season is not None,
        "it is warm enough outdoors": arguments.outdoor is not None,
        "the cylinder has no dip tube": arguments.dip_tube,
    }
    return [text for text, given in said.items() if not given]


def _method_json(knowledge: Knowledge, method: Method) -> dict[str, Any]:
    return {
        "method": method.id,
        "draw": method.draw,
        "cylinder": method.cylinder,
        "port": method.port,
        "opening": method.opening,
        "stop_by": method.stop_by,
        "reason": method.reason,
        "source": source_text(knowledge, method.citation),
    }


def _later_json(
    knowledge: Knowledge, refused: MethodRefused, then: Method
) -> dict[str, Any]:
    return {
        **_method_json(knowledge, then),
        "reason": f"{refused.reason}; {refused.what_to_do}",
        "source": source_text(knowledge, refused.citation),
        "refused_now": refused.refusal,
        "first": list(refused.first),
    }


def _sentence(json: Mapping[str, Any]) -> str:
    return (
        f"{json['method']}: draw {json['draw']} with the cylinder {json['cylinder']}, "
        f"into the {json['port']} port, valve {json['opening']}, until the "
        f"{json['stop_by']} is right."
    )

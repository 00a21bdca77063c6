"""The look-up of the charging method.

On the command line most of what the choice depends on is left out. What is left out is
taken as being in order, and the answer lists every such assumption; the engine, which
asks the technician instead, assumes nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from companion.knowledge.catalogue import Refrigerant
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
from companion.shell.lookup_arguments import (
    choice,
    is_unknown,
    metering,
    temperature_or_none,
    word,
)

_SAME_AS_EMPTY = "full-loss"


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodArguments:
    """The arguments of the look-up, as typed; None where left out.

    ``unit``, ``holds`` and ``metering`` are asked for where they matter; the others
    are assumed to be in order. Each may be ``unknown``, which takes the safe branch.
    The last ones are ``yes``, ``no`` or ``unknown``; a bare option means yes.
    """

    refrigerant: str
    cylinder_refrigerant: str | None = None
    unit: str | None = None
    holds: str | None = None
    metering: str | None = None
    season: str | None = None
    outdoor: str | None = None
    wet_bulb: str | None = None
    leak: str | None = None
    loss: str | None = None
    restrictor: str | bool | None = None
    dip_tube: str | bool | None = None
    critical_charge: str | bool | None = None
    precheck_fault: str | bool | None = None
    non_condensables: str | bool | None = None
    precautions: str | bool | None = None


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
    assumed = _assumed(knowledge, arguments)
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
    said = _Said()
    holds = arguments.holds
    if holds is not None and word(holds) == _SAME_AS_EMPTY:
        holds = "empty"
    outdoor = _temperature_or_unknown("outdoor", arguments.outdoor, said)
    cylinder = arguments.cylinder_refrigerant
    unnamed = is_unknown(arguments.refrigerant)
    if unnamed:
        said.unknown.add("refrigerant")
    return MethodInputs(
        refrigerant=None if unnamed else knowledge.catalogue.get(arguments.refrigerant),
        cylinder=None if cylinder is None else knowledge.catalogue.get(cylinder),
        identity_proven=True,
        precautions=said.flag("precautions", arguments.precautions, usual=True),
        precheck_fault=said.flag("precheck_fault", arguments.precheck_fault),
        leak=said.choice("leak", arguments.leak, get_args(Leak), "repaired"),
        non_condensables_suspected=said.flag(
            "non_condensables_suspected", arguments.non_condensables
        ),
        holds=said.choice("holds", holds, get_args(Holds)),
        unit=said.choice("unit", arguments.unit, get_args(Unit)),
        loss=said.choice("loss", arguments.loss, get_args(Loss), "small"),
        critical_charge=said.flag("critical_charge", arguments.critical_charge),
        season=said.choice("season", arguments.season, get_args(Season), "cooling"),
        outdoor=knowledge.limits.outdoor_min if arguments.outdoor is None else outdoor,
        metering=_metering(arguments.metering, said),
        superheat_target=_target(knowledge, arguments, outdoor, said),
        dip_tube=said.flag("dip_tube", arguments.dip_tube),
        restrictor=said.flag("restrictor", arguments.restrictor),
        dont_know=frozenset(said.unknown),
    )


class _Said:
    """Reads arguments that may be unknown, and remembers which are."""

    def __init__(self) -> None:
        self.unknown: set[str] = set()

    def choice(
        self, name: str, text: str | None, allowed: Sequence[Any], usual: Any = None
    ) -> Any:
        """Read one of a few words; the usual one where it is left out."""
        if is_unknown(text):
            self.unknown.add(name)
            return None
        return choice(_option(name), text, allowed) or usual

    def flag(
        self, name: str, value: str | bool | None, *, usual: bool = False
    ) -> bool | None:
        """Read yes or no; the usual one where it is left out."""
        if isinstance(value, bool):
            return value
        found = self.choice(name, value, ("yes", "no"))
        if found is None:
            return None if name in self.unknown else usual
        return bool(found == "yes")


def _option(name: str) -> str:
    return "--" + name.removesuffix("_suspected").replace("_", "-")


def _metering(text: str | None, said: _Said) -> Metering | None:
    if is_unknown(text):
        said.unknown.add("metering")
        return None
    return metering("--metering", text)


def _temperature_or_unknown(
    name: str, text: str | None, said: _Said
) -> Temperature | None:
    if is_unknown(text):
        said.unknown.add(name)
        return None
    return temperature_or_none(_option(name), text)


def _target(
    knowledge: Knowledge,
    arguments: MethodArguments,
    outdoor: Temperature | None,
    said: _Said,
) -> SuperheatTarget | None:
    if is_unknown(arguments.wet_bulb):
        said.unknown.add("superheat_target")
        return None
    wet_bulb = temperature_or_none("--wet-bulb", arguments.wet_bulb)
    if wet_bulb is None or outdoor is None:
        return None
    return target_superheat(knowledge.targets, outdoor, wet_bulb)


def _assumed(knowledge: Knowledge, arguments: MethodArguments) -> list[str]:
    said: Mapping[str, str | bool | None] = {
        "the refrigerant is proven by plate, label and standing pressure": None,
        "no pre-check fault is open": arguments.precheck_fault,
        "the leak is repaired": arguments.leak,
        "the loss was small": arguments.loss,
        "no foreign gas is inside": arguments.non_condensables,
        "the charge is not critical": arguments.critical_charge,
        "the unit can run in cooling": arguments.season,
        "it is warm enough outdoors": arguments.outdoor,
        "the cylinder has no dip tube": arguments.dip_tube,
    }
    texts = [text for text, given in said.items() if given is None or given is False]
    found = knowledge.catalogue.get(arguments.refrigerant)
    flammable = isinstance(found, Refrigerant) and found.flammable
    if flammable and arguments.precautions is None:
        texts.append("the precautions for a flammable refrigerant are taken")
    return texts


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

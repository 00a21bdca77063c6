"""How each charging method is done: what leaves the cylinder, how, and where it goes."""

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.drawing import Draw, drawing
from companion.knowledge.methods import (
    Method,
    MethodId,
    MethodInputs,
    ReasonId,
    StopBy,
)
from companion.knowledge.tables import Citation

WEIGH_IN = Citation(
    source="cec-ra3-2013",
    at="RA3.2, weigh-in method, any outdoor temperature",
    mark="read at source",
)
BLENDS = Citation(
    source="blend-transfer-2000",
    at="liquid draw of zeotropic blends; pulses and restrictor are common practice",
    mark="second-hand",
)
PRACTICE = Citation(
    source="common-practice", at="charging", mark="common practice, no source"
)


def weigh_in(inputs: MethodInputs) -> Method:
    """Weigh liquid into an evacuated circuit, with the unit off.

    Raises
    ------
    ValueError
        If the refrigerant is not supported or the dip tube is not known.
    """
    return _method(inputs, "weigh-in", "liquid", "weight", "vacuum-takes-liquid")


def top_up(inputs: MethodInputs) -> Method:
    """Top up a running unit through its suction port.

    A zeotrope goes in as throttled liquid, anything else as vapor; a restrictor on the
    hose makes liquid safe for all. Raises as :func:`weigh_in` does.
    """
    stop_by: StopBy = (
        "superheat" if inputs.metering == "fixed-orifice" else "subcooling"
    )
    zeotrope = isinstance(inputs.refrigerant, Refrigerant) and (
        inputs.refrigerant.kind == "zeotrope"
    )
    if inputs.restrictor:
        return _method(
            inputs, "liquid-restrictor", "liquid", stop_by, "restrictor-liquid"
        )
    if zeotrope:
        return _method(inputs, "liquid-pulses", "liquid", stop_by, "zeotrope-liquid")
    return _method(inputs, "vapor", "vapor", stop_by, "vapor-no-slug")


_HOW: dict[ReasonId, str] = {
    "vacuum-takes-liquid": "with the unit off, the vacuum draws liquid into the liquid "
    "line, and the scale says when it is enough",
    "zeotrope-liquid": "into a running unit liquid goes throttled, in short openings, so "
    "that it flashes before the compressor",
    "restrictor-liquid": "the restrictor flashes the liquid, so the valve may be opened "
    "fully within the same pressure and superheat limits",
    "vapor-no-slug": "vapor enters a running unit slowly through the suction port",
}


def _method(
    inputs: MethodInputs,
    method: MethodId,
    draw: Draw,
    stop_by: StopBy,
    reason_id: ReasonId,
) -> Method:
    found = inputs.refrigerant
    if not isinstance(found, Refrigerant) or inputs.dip_tube is None:
        raise ValueError("a method needs a supported refrigerant and a known dip tube")
    how = drawing(found.kind, found.designation, draw, dip_tube=inputs.dip_tube)
    off = method == "weigh-in"
    return Method(
        id=method,
        draw=draw,
        cylinder=how.cylinder,
        port="liquid-line" if off else "suction",
        opening="throttled" if method in ("liquid-pulses", "vapor") else "full",
        stop_by=stop_by,
        reason_id=reason_id,
        values={"refrigerant": found.designation, "cylinder": how.cylinder},
        reason=f"{how.reason}; {_HOW[reason_id]}",
        citation=WEIGH_IN if off else _cited(found),
    )


def _cited(refrigerant: Refrigerant) -> Citation:
    return BLENDS if refrigerant.kind == "zeotrope" else PRACTICE

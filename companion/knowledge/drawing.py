"""Liquid or vapor from the cylinder, which way up, and the reason.

A zeotrope must leave the cylinder as liquid: its vapor has another make-up, so drawing
vapor changes both what goes in and what stays behind. A single substance or an azeotrope
may be drawn either way; on a running unit vapor is kinder, because no liquid can reach
the compressor. A cylinder with a dip tube gives liquid standing upright and vapor upside
down; one without gives the opposite. Read the marking on the cylinder; never assume.

References
----------
Trade guidance on blends (drawing as liquid); see ``sources.toml``, blend-transfer-2000.
"""

from dataclasses import dataclass
from typing import Literal, assert_never

from companion.knowledge.catalogue import Kind

Draw = Literal["liquid", "vapor"]
CylinderStand = Literal["inverted", "upright"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """How to draw from the cylinder.

    Attributes
    ----------
    draw
        What must leave the cylinder.
    cylinder
        How it stands for that.
    reason
        Why, in one sentence.
    """

    draw: Draw
    cylinder: CylinderStand
    reason: str


def cylinder_stand(draw: Draw, *, dip_tube: bool) -> CylinderStand:
    """Give how a cylinder stands to deliver liquid or vapor."""
    if draw == "liquid":
        return "upright" if dip_tube else "inverted"
    return "inverted" if dip_tube else "upright"


def drawing(kind: Kind, designation: str, draw: Draw, *, dip_tube: bool) -> Drawing:
    """Say how to draw, and why.

    Parameters
    ----------
    kind, designation
        Of the refrigerant.
    draw
        What is wanted.
    dip_tube
        Whether the cylinder has a dip tube, from its marking.

    Raises
    ------
    ValueError
        If vapor is wanted from a zeotrope.
    """
    if draw == "vapor" and kind == "zeotrope":
        raise ValueError(f"{designation} is a zeotrope: draw it as liquid only")
    stand = cylinder_stand(draw, dip_tube=dip_tube)
    tube = "its dip tube reaches" if dip_tube else "without a dip tube the valve meets"
    return Drawing(
        draw=draw,
        cylinder=stand,
        reason=f"{_why(kind, designation, draw)}; {tube} the {draw} with the "
        f"cylinder {stand}",
    )


def _why(kind: Kind, designation: str, draw: Draw) -> str:
    match kind:
        case "zeotrope":
            return f"{designation} is a blend whose vapor has another make-up"
        case "azeotrope" | "single":
            single = "an azeotrope" if kind == "azeotrope" else "a single substance"
            may = "vapor keeps liquid from the compressor"
            if draw == "liquid":
                may = "it may be drawn as liquid"
            return f"{designation} is {single}, so {may}"
        case _:
            assert_never(kind)

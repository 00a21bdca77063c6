"""The charge that a longer liquid line needs, and what a tube or hose holds.

The unit's plate rules: its mass per length and what its factory charge covers are asked
for; the table stands in for R-410A only. The charging hose is still full of liquid when
a weigh-in ends, so the scale must give that much more than the unit takes.

References
----------
Long-line guide for R-410A split systems; the unit's own plate rules where it differs.
"""

import math
from dataclasses import dataclass

from companion.knowledge.quantities import KG_PER_OZ, M_PER_FT, Length, Mass
from companion.knowledge.tables import Citation
from companion.knowledge.targets import Targets


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCharge:
    """The charge of a unit with its line set.

    Attributes
    ----------
    total, adder
        Whole charge, and the part for the line beyond what is included; the adder is
        negative for a shorter line.
    citation
        Where the mass per length comes from.
    """

    total: Mass
    adder: Mass
    citation: Citation

    @property
    def shorter(self) -> bool:
        """Whether the line is shorter than included: follow the maker's own table."""
        return self.adder.kg < 0


PLATE = Citation(
    source="long-line-guide-r410a",
    at="factory charge + mass per length x length - allowance, with the plate's values",
    mark="read at source",
)


def table_kg_per_m(targets: Targets, line: str) -> float:
    """Give the table's mass per length [kg/m] of a liquid line of R-410A.

    Raises
    ------
    ValueError
        If the diameter is not in the table.
    """
    if line not in targets.ounces_per_foot:
        known = ", ".join(targets.ounces_per_foot)
        raise ValueError(
            f"a liquid line of {line!r} is not in the table; it holds {known} (inches)"
        )
    return targets.ounces_per_foot[line] * KG_PER_OZ / M_PER_FT


def line_charge(
    targets: Targets, nameplate: Mass, line: str, length: Length, included: Length
) -> LineCharge:
    """Work out the charge of an R-410A unit with its liquid line.

    Parameters
    ----------
    targets
        The tables.
    nameplate
        Factory charge.
    line
        Outside diameter of the liquid line, for example ``3/8``.
    length
        Length of the line.
    included
        Length that the factory charge covers, from the unit's plate.

    Returns
    -------
    LineCharge
        Where the unit's plate gives another mass per length, the plate rules.

    Raises
    ------
    ValueError
        If the diameter is not in the table, or a length is negative.
    """
    kg_per_m = table_kg_per_m(targets, line)
    if included.m < 0:
        raise ValueError("a line length cannot be negative; measure it again")
    return plate_charge(
        nameplate, kg_per_m, length, Mass(kg_per_m * included.m), targets.line_citation
    )


def plate_charge(
    nameplate: Mass,
    kg_per_m: float,
    length: Length,
    allowance: Mass,
    citation: Citation = PLATE,
) -> LineCharge:
    """Work out the charge from what the unit's plate prints.

    Parameters
    ----------
    nameplate
        Factory charge.
    kg_per_m
        Mass that the plate asks for each length of liquid line [kg/m].
    length
        Whole length of the line.
    allowance
        What of that the factory charge already covers.

    Raises
    ------
    ValueError
        If one of them is negative.
    """
    if length.m < 0:
        raise ValueError("a line length cannot be negative; measure it again")
    if kg_per_m < 0 or allowance.kg < 0:
        raise ValueError("the plate prints no negative mass; read it again")
    adder = Mass(kg_per_m * length.m) - allowance
    return LineCharge(total=nameplate + adder, adder=adder, citation=citation)


def tube_content(density: float, bore: Length, length: Length) -> Mass:
    """Give what a tube or hose holds of a fluid.

    Parameters
    ----------
    density
        Of the fluid [kg/m3].
    bore, length
        Inner diameter and length.

    Raises
    ------
    ValueError
        If one of them is negative.
    """
    if density < 0 or bore.m < 0 or length.m < 0:
        raise ValueError("a tube has no negative bore, length or density")
    return Mass(math.pi / 4 * bore.m**2 * length.m * density)

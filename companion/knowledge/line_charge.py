"""The charge that a longer liquid line needs, beyond what the factory charge covers.

References
----------
Long-line guide for R-410A split systems; the unit's own plate rules where it differs.
"""

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
        Whole charge, and the part for the line beyond the included length; the adder
        is negative for a shorter line.
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
    if line not in targets.ounces_per_foot:
        known = ", ".join(targets.ounces_per_foot)
        raise ValueError(
            f"a liquid line of {line!r} is not in the table; it holds {known} (inches)"
        )
    if length.m < 0 or included.m < 0:
        raise ValueError("a line length cannot be negative; measure it again")
    kg_per_m = targets.ounces_per_foot[line] * KG_PER_OZ / M_PER_FT
    adder = Mass(kg_per_m * (length.m - included.m))
    return LineCharge(
        total=nameplate + adder, adder=adder, citation=targets.line_citation
    )

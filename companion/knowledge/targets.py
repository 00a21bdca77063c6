"""What to charge to: target superheat and target subcooling.

A fixed orifice has no superheat of its own: how much is right depends on the outdoor
air (dry bulb) and the return air (wet bulb), and stands in a table. Between its cells
the target is interpolated in both directions. Where the table has a dash, the target
would be below 5 degrees Fahrenheit and the charge cannot be judged by superheat; if a
dash has any part in a value, there is no value. The linear rule of the trade is here
for a cross-check only: it returns plausible targets where the table has dashes.

An expansion valve keeps its superheat; its charge is judged by the subcooling printed
on the unit.

References
----------
Superheat charging table of makers' installation manuals; California Energy Commission,
2008 Reference Residential Appendix RA3.2, page RA3-14 (meaning of a dash).
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from companion.knowledge.quantities import Temperature, TemperatureDifference
from companion.knowledge.tables import Citation

SNAP = 6
"""Decimals of a degree kept, so that 95 F through kelvin is on the 95 F row again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """The tables of targets.

    Attributes
    ----------
    outdoor_f, return_wet_bulb_f
        Rows and columns of the superheat table [degF], rising.
    superheat_df
        Target superheat [F] by row and column; None for a dash.
    superheat_citation
        Who prints that table.
    assumed_subcooling, assumed_citation
        What is assumed without a nameplate, and from where.
    nameplate_range, nameplate_citation
        What a nameplate may say, and who says that it rules.
    line_refrigerant, ounces_per_foot, line_citation
        Liquid charge per length of liquid line by outside diameter [in].
    """

    outdoor_f: tuple[float, ...]
    return_wet_bulb_f: tuple[float, ...]
    superheat_df: tuple[tuple[float | None, ...], ...]
    superheat_citation: Citation
    assumed_subcooling: TemperatureDifference
    assumed_citation: Citation
    nameplate_range: tuple[TemperatureDifference, TemperatureDifference]
    nameplate_citation: Citation
    line_refrigerant: str
    ounces_per_foot: Mapping[str, float]
    line_citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A target to charge to, and who says so.

    Attributes
    ----------
    of
        What is charged to it.
    value
        The target.
    citation
        Where it comes from.
    assumed
        True where the unit does not print it and the usual value stands in.
    """

    of: Literal["superheat", "subcooling"]
    value: TemperatureDifference
    citation: Citation
    assumed: bool = False
    kind: Literal["target"] = "target"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoGo:
    """The table has a dash here: do not charge by superheat in this weather."""

    outdoor: Temperature
    return_wet_bulb: Temperature
    citation: Citation
    kind: Literal["no-go"] = "no-go"

    @property
    def why(self) -> str:
        """Why there is none."""
        return (
            f"no target at {self.outdoor.f:.0f} F outdoors and "
            f"{self.return_wet_bulb.f:.0f} F return wet bulb: it would be below 5 F"
        )

    @property
    def what_to_do(self) -> str:
        """What to do then."""
        return "warm the rooms, come back in other weather, or weigh the charge in"

    @property
    def reason(self) -> str:
        """Why, and what to do, in one sentence."""
        return f"{self.why}; {self.what_to_do}"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideTargets:
    """The weather is outside the superheat table; nothing is extrapolated."""

    what: Literal["outdoor temperature", "return wet bulb"]
    asked: Temperature
    low: Temperature
    high: Temperature
    kind: Literal["outside-targets"] = "outside-targets"

    @property
    def why(self) -> str:
        """What is outside, and of what range."""
        return (
            f"the {self.what} of {self.asked.f:.0f} F is outside the target table "
            f"({self.low.f:.0f} to {self.high.f:.0f} F)"
        )

    @property
    def what_to_do(self) -> str:
        """What to do then."""
        return "read it again, or weigh the charge in"

    @property
    def reason(self) -> str:
        """What is outside, and what to do, in one sentence."""
        return f"{self.why}; {self.what_to_do}"


@dataclass(frozen=True, slots=True, kw_only=True)
class NameplateNeeded:
    """The target subcooling must be read from the unit, or its assuming agreed to."""

    assumed: TemperatureDifference
    kind: Literal["nameplate-needed"] = "nameplate-needed"

    @property
    def reason(self) -> str:
        """What to do, in one sentence."""
        return (
            "read the target subcooling from the unit's plate; without it only an "
            f"assumed {self.assumed.f:.0f} F, from memory, could stand in"
        )


SuperheatTarget = Target | NoGo | OutsideTargets
SubcoolingTarget = Target | NameplateNeeded


def target_superheat(
    targets: Targets, outdoor: Temperature, return_wet_bulb: Temperature
) -> SuperheatTarget:
    """Give the target superheat of a fixed orifice.

    Parameters
    ----------
    targets
        The tables.
    outdoor
        Dry bulb of the air entering the outdoor coil, 55 to 115 degF.
    return_wet_bulb
        Wet bulb of the return air, 50 to 76 degF.

    Returns
    -------
    Target, NoGo or OutsideTargets
        Interpolated between cells; NoGo if a dash has a part in it.
    """
    row = _place(targets.outdoor_f, outdoor)
    if row is None:
        return _outside("outdoor temperature", outdoor, targets.outdoor_f)
    column = _place(targets.return_wet_bulb_f, return_wet_bulb)
    if column is None:
        return _outside("return wet bulb", return_wet_bulb, targets.return_wet_bulb_f)
    total = 0.0
    for i, row_share in row:
        for j, column_share in column:
            cell = targets.superheat_df[i][j]
            if cell is None:
                return NoGo(
                    outdoor=outdoor,
                    return_wet_bulb=return_wet_bulb,
                    citation=targets.superheat_citation,
                )
            total += row_share * column_share * cell
    return Target(
        of="superheat",
        value=TemperatureDifference.from_f(total),
        citation=targets.superheat_citation,
    )


def _place(
    nodes: Sequence[float], at: Temperature
) -> tuple[tuple[int, float], ...] | None:
    """Give the nodes that have a share in a value, with their shares."""
    value = round(at.f, SNAP)
    if not nodes[0] <= value <= nodes[-1]:
        return None
    i = bisect_right(nodes, value) - 1
    share = (
        0.0 if i + 1 == len(nodes) else (value - nodes[i]) / (nodes[i + 1] - nodes[i])
    )
    if share == 0:
        return ((i, 1.0),)
    return ((i, 1 - share), (i + 1, share))


def _outside(
    what: Literal["outdoor temperature", "return wet bulb"],
    asked: Temperature,
    nodes: Sequence[float],
) -> OutsideTargets:
    return OutsideTargets(
        what=what,
        asked=asked,
        low=Temperature.from_f(nodes[0]),
        high=Temperature.from_f(nodes[-1]),
    )


def linear_superheat(
    outdoor: Temperature, return_wet_bulb: Temperature
) -> TemperatureDifference:
    """Give the trade's linear approximation of the target, for a cross-check only.

    It is (3 wet bulb - 80 - outdoor) / 2 in degF, within 2 F of the table in nine
    cells of ten, 6.5 F low at 115 F / 76 F, and blind to dashes: never charge to it.
    """
    return TemperatureDifference.from_f((3 * return_wet_bulb.f - 80 - outdoor.f) / 2)


def target_subcooling(
    targets: Targets,
    nameplate: TemperatureDifference | None,
    *,
    assume: bool = False,
) -> SubcoolingTarget:
    """Give the target subcooling of an expansion valve unit.

    Parameters
    ----------
    targets
        The tables.
    nameplate
        What the unit's plate prints, if it does.
    assume
        Whether the technician agreed to an assumed value in its absence.

    Raises
    ------
    ValueError
        If the nameplate value is outside what a plate may say; ask for it again.
    """
    if nameplate is None:
        if not assume:
            return NameplateNeeded(assumed=targets.assumed_subcooling)
        return Target(
            of="subcooling",
            value=targets.assumed_subcooling,
            citation=targets.assumed_citation,
            assumed=True,
        )
    low, high = targets.nameplate_range
    if not low <= nameplate <= high:
        raise ValueError(
            f"a target subcooling of {nameplate.f:.0f} F is outside "
            f"{low.f:.0f} to {high.f:.0f} F; read the plate again"
        )
    return Target(of="subcooling", value=nameplate, citation=targets.nameplate_citation)

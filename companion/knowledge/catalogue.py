"""Refrigerants by designation: make-up, safety group, normal points, charging draw.

A refrigerant is known in one of four ways. Most are *supported*: every value is there.
Rare ones are *recognized* by name and not supported. R-744 and R-717 are *out of scope*
and refused with the reason. Anything else is *not known*, and the answer carries the
designations that sound or look alike, because a misheard name is the likely cause.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from companion.knowledge.designations import alike, designation_key
from companion.knowledge.quantities import Temperature, TemperatureDifference
from companion.knowledge.tables import Citation

Kind = Literal["single", "azeotrope", "zeotrope"]
SafetyGroup = Literal["A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3"]
ChargingDraw = Literal["liquid", "either"]
OzoneClass = Literal["CFC", "HCFC", "none"]
"""The worst that a refrigerant contains, by the lists of the Montreal Protocol."""

Field = Literal[
    "mass_pct",
    "safety_group",
    "normal_points",
    "gwp_ar4",
    "gwp_ar5",
    "odp",
    "saturation_error",
]
"""The values of a refrigerant that have a citation of their own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refrigerant:
    """A refrigerant with all that is known of it.

    Attributes
    ----------
    designation
        As in ANSI/ASHRAE Standard 34, for example ``R-407C``.
    tier
        1 where met often, 2 in older or retrofitted units.
    kind
        Single substance, azeotrope (boils almost like one) or zeotrope.
    mass_pct
        Make-up [mass %] by component designation; one entry of 100 for a single one.
    safety_group
        Group of ANSI/ASHRAE Standard 34.
    safety_group_certain
        False where the group was given from memory only.
    caution_group
        The group to work by: where the group is uncertain, one class of flammability
        stricter. For precautions only; it does not make a refrigerant fit a unit.
    normal_bubble, normal_dew
        Bubble and dew point at 101.325 kPa.
    gwp_ar4, gwp_ar5
        Global warming potential over 100 years by the IPCC's fourth and fifth
        assessment report, blends by mass-weighting.
    odp, ozone_class
        Ozone depletion potential, and the worst kind of substance in it.
    saturation_error, pressure_error_pct
        What the saturation table may be off, as temperature and as pressure [%].
    high_glide
        Whether a large vapor loss shifts the make-up too far for a top-up.
    citations
        Source, locator and mark by value.
    """

    designation: str
    tier: Literal[1, 2]
    kind: Kind
    mass_pct: Mapping[str, float]
    safety_group: SafetyGroup
    safety_group_certain: bool
    caution_group: SafetyGroup
    normal_bubble: Temperature
    normal_dew: Temperature
    gwp_ar4: float
    gwp_ar5: float
    odp: float
    ozone_class: OzoneClass
    saturation_error: TemperatureDifference
    pressure_error_pct: float
    high_glide: bool
    citations: Mapping[Field, Citation]

    @property
    def glide(self) -> TemperatureDifference:
        """Dew point less bubble point at 101.325 kPa; never below zero."""
        return TemperatureDifference(max(0.0, self.normal_dew.k - self.normal_bubble.k))

    @property
    def charging_draw(self) -> ChargingDraw:
        """What may leave the cylinder: a zeotrope must be drawn as liquid."""
        return "liquid" if self.kind == "zeotrope" else "either"

    @property
    def flammable(self) -> bool:
        """Whether to take the precautions for a flammable refrigerant."""
        return self.caution_group not in ("A1", "B1")


@dataclass(frozen=True, slots=True, kw_only=True)
class PureFluid:
    """A single substance whose saturation is tabulated, and nothing else.

    Attributes
    ----------
    designation
        As in ANSI/ASHRAE Standard 34.
    saturation_error, pressure_error_pct
        What the saturation table may be off, as temperature and as pressure [%].
    citation
        Where that error comes from.
    """

    designation: str
    saturation_error: TemperatureDifference
    pressure_error_pct: float
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsupported:
    """A refrigerant recognized by name: it is not charged with.

    Attributes
    ----------
    designation
        As in ANSI/ASHRAE Standard 34.
    fluid
        What its saturation can be looked up by, for a single substance.
    """

    designation: str
    fluid: PureFluid | None = None
    kind: Literal["unsupported"] = "unsupported"

    @property
    def reason(self) -> str:
        """Why, and what to do, in one sentence."""
        return (
            f"{self.designation} is recognized but not supported: what is needed to "
            "charge with it is not shipped; use the maker's procedure"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfScope:
    """A refrigerant that this program refuses, and why."""

    designation: str
    why: str
    kind: Literal["out-of-scope"] = "out-of-scope"

    @property
    def reason(self) -> str:
        """Why, in one sentence."""
        return f"{self.designation} is out of scope: {self.why}"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotKnown:
    """A name that is no known designation, and those it may have been meant for."""

    text: str
    near: tuple[str, ...]
    kind: Literal["not-known"] = "not-known"

    @property
    def reason(self) -> str:
        """What to do, in one sentence."""
        if not self.near:
            return f"{self.text!r} is not a known refrigerant; read the label again"
        return (
            f"{self.text!r} is not a known refrigerant; "
            f"near it are {', '.join(self.near)}; read the label again"
        )


Found = Refrigerant | Unsupported | OutOfScope | NotKnown
"""Every answer to a designation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """All refrigerants, in the order of use: tier 1, tier 2, then the rest by name."""

    refrigerants: tuple[Refrigerant, ...]
    out_of_scope: tuple[OutOfScope, ...]
    recognized: tuple[Unsupported, ...]
    by_key: Mapping[str, Refrigerant | OutOfScope | Unsupported]

    @property
    def designations(self) -> tuple[str, ...]:
        """Every designation that is known in any way, most used first."""
        return tuple(each.designation for each in self.by_key.values())

    @property
    def fluids(self) -> Mapping[str, PureFluid]:
        """Those known for their saturation only, by designation."""
        return {
            each.designation: each.fluid
            for each in self.recognized
            if each.fluid is not None
        }

    def get(self, designation: str) -> Found:
        """Look a designation up, in any spelling such as ``R-407C`` or ``407c``.

        Returns
        -------
        Refrigerant, Unsupported, OutOfScope or NotKnown
            Never raises: a name that is not known comes back with those near it.
        """
        found = self.by_key.get(designation_key(designation))
        if found is None:
            return NotKnown(text=designation, near=self.near(designation))
        return found

    def near(self, designation: str) -> tuple[str, ...]:
        """Give the designations that look or sound alike, most used first."""
        return alike(designation, self.designations)


def build_catalogue(
    refrigerants: tuple[Refrigerant, ...],
    out_of_scope: tuple[OutOfScope, ...],
    recognized: tuple[Unsupported, ...],
) -> Catalogue:
    """Put refrigerants in order of use and make them findable.

    Raises
    ------
    ValueError
        If two of them have the same designation.
    """
    ordered = tuple(sorted(refrigerants, key=lambda each: each.tier))
    everything: tuple[Refrigerant | OutOfScope | Unsupported, ...]
    everything = (*ordered, *out_of_scope, *recognized)
    by_key = {designation_key(each.designation): each for each in everything}
    if len(by_key) != len(everything):
        names = [designation_key(each.designation) for each in everything]
        twice = sorted({name for name in names if names.count(name) > 1})
        raise ValueError(f"designations listed twice: {', '.join(twice)}")
    return Catalogue(
        refrigerants=ordered,
        out_of_scope=out_of_scope,
        recognized=recognized,
        by_key=by_key,
    )

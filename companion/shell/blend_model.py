"""Open the saturated states of a refrigerant, for the sums about cylinders and leaks.

This is the only way that the program, once built, comes to CoolProp: in a look-up that
somebody asked for, never on the way to a cue.
"""

from collections.abc import Mapping, Sequence

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.coolprop_properties import CoolPropEquilibrium, apply_remedies
from companion.knowledge.equilibrium import (
    Equilibrium,
    EquilibriumError,
    mean_molar_mass,
    mole_fractions,
)
from companion.knowledge.fixed_volume import Filling
from companion.knowledge.loading import Knowledge
from companion.knowledge.mixture_pairs import read_pair_remedies
from companion.knowledge.properties import OutsideTable
from companion.knowledge.quantities import Mass, Temperature, Volume
from companion.knowledge.tables import TableError
from companion.shell.knowledge_files import read_data_file
from companion.shell.lookup_answer import LookupRefusal, shown

PAIRS = "mixture_pairs.toml"


def open_equilibrium(
    knowledge: Knowledge, found: Refrigerant, at: Temperature
) -> Equilibrium:
    """Open the saturated states of a refrigerant's components.

    Raises
    ------
    TableError
        If the file of pair remedies is wrong.
    LookupRefusal
        If the refrigerant has no liquid at the temperature, or cannot be computed.
    """
    saturation = knowledge.properties.saturation_pressure(found, "bubble", at)
    if isinstance(saturation, OutsideTable):
        raise LookupRefusal("outside-table", saturation.reason)
    pairs = read_pair_remedies(read_data_file(PAIRS), knowledge.sources)
    if isinstance(pairs, tuple):
        raise TableError(pairs)
    apply_remedies(pairs)
    try:
        return CoolPropEquilibrium(found.designation, list(found.mass_pct))
    except EquilibriumError as error:
        raise no_answer(error) from error


def no_answer(error: EquilibriumError) -> LookupRefusal:
    """Make a refusal of a state that does not exist or was not found."""
    return LookupRefusal("no-equilibrium", f"{error}; check the temperature")


def too_full(designation: str, at: Temperature, over: float) -> LookupRefusal:
    """Make a refusal of a filling that does not fit its volume."""
    return LookupRefusal(
        "liquid-full",
        f"so much {designation} does not fit: at {at.f:.0f} F ({at.c:.0f} C) its liquid "
        f"alone takes {over:.2f} times the volume; check mass, volume and temperature. "
        "A cylinder that is really so full is about to burst: keep away and cool it",
    )


def fill(found: Refrigerant, net: Mass, volume: Volume, at: Temperature) -> Filling:
    """Fill a volume with a refrigerant by its label."""
    return Filling(
        components=tuple(found.mass_pct),
        mass_pct=tuple(found.mass_pct.values()),
        mass_kg=net.kg,
        volume_m3=volume.m3,
        t_k=at.k,
    )


def mass_at_level(
    equilibrium: Equilibrium,
    found: Refrigerant,
    volume: Volume,
    at: Temperature,
    level: float,
) -> Mass:
    """Give the mass that fills a volume with liquid up to a level, 0 to 1.

    Raises
    ------
    EquilibriumError
        If there is no liquid at the temperature.
    """
    masses = equilibrium.molar_masses
    label = mole_fractions(list(found.mass_pct.values()), masses)
    state = equilibrium.saturated(0, label, at.k)
    liquid = state.liquid_density * mean_molar_mass(state.liquid, masses)
    vapor = state.vapor_density * mean_molar_mass(state.vapor, masses)
    return Mass(volume.m3 * (level * liquid + (1 - level) * vapor))


def by_component(
    components: Sequence[str], mass_pct: Sequence[float] | None
) -> Mapping[str, float] | None:
    """Give a make-up as answers print it; None of nothing."""
    if mass_pct is None:
        return None
    return {name: shown(pct) for name, pct in zip(components, mass_pct, strict=True)}


def in_words(components: Sequence[str], mass_pct: Sequence[float]) -> str:
    """Give a make-up in words."""
    pairs = zip(components, mass_pct, strict=True)
    return ", ".join(f"{pct:.1f} % {name}" for name, pct in pairs)

"""Liquid and vapor of a blend in balance: what the draw-down sums ask for.

The sums work in moles, because equilibrium does; people read mass percent.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from companion.knowledge.errors import CompanionError

Quality = Literal[0, 1]
"""0: all liquid but for the first bubble. 1: all vapor but for the last drop."""


class EquilibriumError(CompanionError, ValueError):
    """No saturated state was found; near or above the critical point there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saturated:
    """A liquid and a vapor in balance.

    Attributes
    ----------
    t_k
        Temperature [K].
    pressure_pa
        Absolute pressure [Pa].
    liquid, vapor
        Mole fractions, in the order of the components.
    liquid_density, vapor_density
        Densities [mol/m3].
    """

    t_k: float
    pressure_pa: float
    liquid: tuple[float, ...]
    vapor: tuple[float, ...]
    liquid_density: float
    vapor_density: float


class Equilibrium(Protocol):
    """Saturated states of one set of components: the port that fakes stand in for."""

    @property
    def molar_masses(self) -> tuple[float, ...]:
        """Molar masses [kg/mol], in the order of the components."""

    def saturated(
        self, quality: Quality, make_up: Sequence[float], t_k: float
    ) -> Saturated:
        """Give the bubble or dew state of a make-up [mole fractions] at ``t_k`` [K].

        Raises
        ------
        EquilibriumError
            If there is none, or none was found.
        """

    def gas_pressure(
        self, make_up: Sequence[float], t_k: float, density: float
    ) -> float:
        """Give the pressure [Pa] of a gas of known density [mol/m3]."""


def mole_fractions(
    mass_pct: Sequence[float], molar_masses: Sequence[float]
) -> tuple[float, ...]:
    """Turn mass percent into mole fractions, which sum to 1."""
    moles = [pct / mass for pct, mass in zip(mass_pct, molar_masses, strict=True)]
    total = sum(moles)
    return tuple(each / total for each in moles)


def mass_percent(
    moles: Sequence[float], molar_masses: Sequence[float]
) -> tuple[float, ...]:
    """Turn moles or mole fractions into mass percent, which sums to 100."""
    masses = [each * mass for each, mass in zip(moles, molar_masses, strict=True)]
    total = sum(masses)
    return tuple(100 * each / total for each in masses)


def mean_molar_mass(make_up: Sequence[float], molar_masses: Sequence[float]) -> float:
    """Give the molar mass [kg/mol] of a mixture."""
    pairs = zip(make_up, molar_masses, strict=True)
    return sum(share * mass for share, mass in pairs) / sum(make_up)

"""What stands in a closed volume: how much liquid, how much vapor, of what make-up.

The vapor of a zeotrope has another make-up than its liquid, so the liquid in a cylinder
differs a little from the label even before anything is drawn. Liquid make-up, shares
and pressure are found together: a bubble point gives the vapor above a liquid, the
volume gives how much is vapor, and the total gives the liquid again.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from companion.knowledge.equilibrium import (
    Equilibrium,
    Saturated,
    mass_percent,
    mean_molar_mass,
)

TOLERANCE = 1e-9  # of a mole fraction; about what a flash gives
MAX_ROUNDS = 80
ENOUGH_ROUNDS, LOOSE = 8, 1e-8  # take this, where the flash itself jitters


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What is in a closed volume, settled.

    Attributes
    ----------
    moles
        All of it [mol], by component.
    liquid, vapor
        Moles of each phase by component; ``liquid`` is None where there is none.
    pressure_pa
        Absolute pressure [Pa].
    level
        Share of the volume that is liquid, 0 to 1.
    """

    moles: tuple[float, ...]
    liquid: tuple[float, ...] | None
    vapor: tuple[float, ...]
    pressure_pa: float
    level: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LiquidFull:
    """More than the volume holds: no room is left for vapor.

    Attributes
    ----------
    over
        Volume that the liquid alone would take, over the volume there is; 1 or more.
    """

    over: float
    kind: str = "liquid-full"


def settle(
    equilibrium: Equilibrium,
    moles: Sequence[float],
    volume_m3: float,
    t_k: float,
    start: Sequence[float] | None = None,
) -> Contents | LiquidFull:
    """Find what moles [mol] in a volume [m3] at a temperature [K] settle into.

    Parameters
    ----------
    equilibrium
        Saturated states of these components.
    moles, volume_m3, t_k
        What there is, where, and how warm.
    start
        Liquid mole fractions to begin with, from a neighboring state.

    Raises
    ------
    EquilibriumError
        If there is no liquid at this temperature at all.
    """
    total = sum(moles)
    balance = _balanced(equilibrium, moles, volume_m3, t_k, start)
    state, wanted = balance.state, balance.vapor_share
    if wanted < 0:
        return LiquidFull(over=total / state.liquid_density / volume_m3)
    if wanted >= 1:
        whole = tuple(each / total for each in moles)
        pressure = equilibrium.gas_pressure(whole, t_k, total / volume_m3)
        return Contents(
            moles=tuple(moles),
            liquid=None,
            vapor=tuple(moles),
            pressure_pa=pressure,
            level=0.0,
        )
    # Taken from the total, so that the balance closes whatever the flash's error.
    rows = [
        (each, ratio, 1 + wanted * (ratio - 1))
        for each, ratio in zip(moles, balance.ratios, strict=True)
    ]
    return Contents(
        moles=tuple(moles),
        liquid=tuple((1 - wanted) * each / part for each, _, part in rows),
        vapor=tuple(wanted * ratio * each / part for each, ratio, part in rows),
        pressure_pa=state.pressure_pa,
        level=(1 - wanted) * total / state.liquid_density / volume_m3,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Balance:
    """A bubble state, its vapor over liquid by component, and the vapor's mole share.

    The share is below 0 where the volume is too small and 1 or more where it is so
    large that no liquid is left.
    """

    state: Saturated
    ratios: tuple[float, ...]
    vapor_share: float


def _balanced(
    equilibrium: Equilibrium,
    moles: Sequence[float],
    volume_m3: float,
    t_k: float,
    start: Sequence[float] | None,
) -> _Balance:
    """Bring liquid make-up, vapor share and total into balance, round by round."""
    total = sum(moles)
    whole = tuple(each / total for each in moles)
    liquid = whole if start is None else tuple(start)
    rounds = 0
    while True:
        state = equilibrium.saturated(0, liquid, t_k)
        ratios = tuple(y / x for y, x in zip(state.vapor, state.liquid, strict=True))
        wanted = _vapor_share(state, volume_m3 / total)
        new = _liquid(whole, ratios, min(max(wanted, 0.0), 1.0))
        change = max(abs(one - other) for one, other in zip(new, liquid, strict=True))
        liquid, rounds = new, rounds + 1
        settled = change < TOLERANCE or (rounds > ENOUGH_ROUNDS and change < LOOSE)
        if settled or rounds >= MAX_ROUNDS:
            return _Balance(state=state, ratios=ratios, vapor_share=wanted)


def _vapor_share(state: Saturated, molar_volume: float) -> float:
    """Give the mole share that must be vapor to fill the volume [m3/mol]."""
    liquid, vapor = 1 / state.liquid_density, 1 / state.vapor_density
    return (molar_volume - liquid) / (vapor - liquid)


def _liquid(
    whole: Sequence[float], ratios: Sequence[float], share: float
) -> tuple[float, ...]:
    """Give the liquid of a whole that is split in known ratios (Rachford and Rice)."""
    raw = [
        each / (1 + share * (ratio - 1))
        for each, ratio in zip(whole, ratios, strict=True)
    ]
    total = sum(raw)
    return tuple(each / total for each in raw)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """What was filled into a volume: the label's make-up, a mass, a temperature.

    Attributes
    ----------
    components
        Designations, in the order of every make-up.
    mass_pct
        Make-up by the label [mass %], in that order.
    mass_kg, volume_m3, t_k
        How much, where, and how warm.
    """

    components: tuple[str, ...]
    mass_pct: tuple[float, ...]
    mass_kg: float
    volume_m3: float
    t_k: float

    def moles(self, equilibrium: Equilibrium) -> tuple[float, ...]:
        """Give the moles [mol] of each component."""
        masses = equilibrium.molar_masses
        pairs = zip(self.mass_pct, masses, strict=True)
        return tuple(self.mass_kg * pct / 100 / mass for pct, mass in pairs)


def mass_of(equilibrium: Equilibrium, moles: Sequence[float] | None) -> float:
    """Give the mass [kg] of moles; 0 of none."""
    if moles is None:
        return 0.0
    return sum(moles) * mean_molar_mass(moles, equilibrium.molar_masses)


def percent_of(equilibrium: Equilibrium, moles: Sequence[float]) -> tuple[float, ...]:
    """Give the make-up [mass %] of moles."""
    return mass_percent(moles, equilibrium.molar_masses)

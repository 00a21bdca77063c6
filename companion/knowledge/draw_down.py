"""How a blend's make-up drifts while it is drawn from a cylinder or leaks from a unit.

What leaves as vapor is richer in the volatile components, so what stays grows poorer in
them; what leaves as liquid is the other way about, and drifts far less. The sums hold
temperature and volume, let liquid and vapor be in balance all the time, and take what
leaves off the total. Not in them: cooling by boiling, oil, air.

The way of summing is Runge and Kutta's of the fourth order over the mass drawn; where
the liquid runs out the steps are halved until the end is caught. From then on only
vapor is left, and it leaves as it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import Equilibrium, EquilibriumError
from companion.knowledge.fixed_volume import (
    Contents,
    Filling,
    LiquidFull,
    mass_of,
    percent_of,
    settle,
)

STEP = 0.025  # of the filling; finer steps change no figure by 0.001 mass %
SMALLEST_STEP = 1e-5  # how closely the end of the liquid is caught


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawPoint:
    """What there is after a part of the filling has left; make-ups in mass %.

    Attributes
    ----------
    fraction
        Mass that has left, over the filling; 0 to 1.
    leaving
        Make-up of what leaves now.
    delivered
        Mean make-up of all that has left; that of ``leaving`` before anything has.
    left
        Make-up of all that stays; None where nothing does.
    left_liquid, left_vapor
        Make-up of the liquid and the vapor that stay; None where there is none.
    liquid_kg, vapor_kg
        Their masses.
    pressure_pa
        Absolute pressure.
    balance_error
        Largest mass of a component that is lost or won by the sums, over the filling.
    """

    fraction: float
    leaving: tuple[float, ...]
    delivered: tuple[float, ...]
    left: tuple[float, ...] | None
    left_liquid: tuple[float, ...] | None
    left_vapor: tuple[float, ...] | None
    liquid_kg: float
    vapor_kg: float
    pressure_pa: float
    balance_error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawDown:
    """A whole draw-down.

    Attributes
    ----------
    filling, draw
        What was drawn from, and as what.
    points
        In the order of the fraction, from 0 to the fraction asked for.
    liquid_gone
        Fraction at which the last liquid went; None if it did not.
    """

    filling: Filling
    draw: Draw
    points: tuple[DrawPoint, ...]
    liquid_gone: float | None

    @property
    def end(self) -> DrawPoint:
        """The state at the fraction asked for."""
        return self.points[-1]


def draw_down(
    equilibrium: Equilibrium,
    filling: Filling,
    draw: Draw,
    until: float = 1.0,
    step: float = STEP,
) -> DrawDown | LiquidFull:
    """Draw a part of a filling.

    Parameters
    ----------
    equilibrium
        Saturated states of the filling's components.
    filling
        What is drawn from.
    draw
        As liquid or as vapor. Once the liquid is gone both give vapor.
    until
        Fraction of the filling's mass to draw, 0 to 1.
    step
        Fraction a step.

    Returns
    -------
    DrawDown or LiquidFull
        The latter if the filling does not fit its volume at this temperature.

    Raises
    ------
    ValueError
        If the fraction is outside 0 to 1.
    EquilibriumError
        If there is no liquid at this temperature at all.
    """
    if not 0 <= until <= 1:
        raise ValueError(f"a fraction of {until} is outside 0 to 1")
    run = _Run(equilibrium, filling, draw)
    if isinstance(run.first, LiquidFull):
        return run.first
    run.contents = run.first
    run.note()
    while run.fraction < until and run.contents.liquid is not None:
        if not run.advance(min(step, until - run.fraction)):
            run.liquid_gone = run.fraction
            break
        run.note()
    if run.contents.liquid is None and run.liquid_gone is None:
        run.liquid_gone = run.fraction
    if run.fraction < until:
        run.advance_as_gas(until - run.fraction)
        run.note()
    return DrawDown(
        filling=filling,
        draw=draw,
        points=tuple(run.points),
        liquid_gone=run.liquid_gone,
    )


class _Run:
    """The state of one draw-down while it is summed."""

    def __init__(self, equilibrium: Equilibrium, filling: Filling, draw: Draw) -> None:
        self.equilibrium = equilibrium
        self.filling = filling
        self.draw = draw
        self.begun = filling.moles(equilibrium)
        self.first = self.settled(self.begun, None)
        self.contents = Contents(
            moles=self.begun, liquid=None, vapor=self.begun, pressure_pa=0, level=0
        )
        self.drawn = tuple(0.0 for _ in self.begun)
        self.fraction = 0.0
        self.liquid_gone: float | None = None
        self.points: list[DrawPoint] = []

    def settled(
        self, moles: Sequence[float], start: Sequence[float] | None
    ) -> Contents | LiquidFull:
        filling = self.filling
        return settle(self.equilibrium, moles, filling.volume_m3, filling.t_k, start)

    def advance(self, step: float) -> bool:
        """Draw a step, or the largest part of it that leaves liquid; False if none."""
        whole = step
        while step >= min(SMALLEST_STEP, whole):
            new = self._stepped(step)
            if new is not None:
                moles, contents = new
                self._take(moles, contents, step)
                return True
            step /= 2
        return False

    def _stepped(self, step: float) -> tuple[tuple[float, ...], Contents] | None:
        """Sum one step of the fourth order; None if the liquid runs out in it."""
        mass = step * self.filling.mass_kg
        try:
            rates = [self._rate(self.contents)]
            for part in (0.5, 0.5, 1.0):
                moles = _less(self.contents.moles, rates[-1], part * mass)
                middle = self._with_liquid(moles)
                if middle is None:
                    return None
                rates.append(self._rate(middle))
            weights = (mass / 6, mass / 3, mass / 3, mass / 6)
            moles = self.contents.moles
            for rate, weight in zip(rates, weights, strict=True):
                moles = _less(moles, rate, weight)
            after = self._with_liquid(moles)
        except EquilibriumError:
            return None
        return None if after is None else (moles, after)

    def _with_liquid(self, moles: Sequence[float]) -> Contents | None:
        if min(moles) <= 0:
            return None
        liquid = self.contents.liquid
        start = None if liquid is None else _shares(liquid)
        found = self.settled(moles, start)
        if isinstance(found, LiquidFull) or found.liquid is None:
            return None
        return found

    def _rate(self, contents: Contents) -> tuple[float, ...]:
        """Give the moles of each component in a kilogram of what leaves."""
        leaving = self._leaving(contents)
        mass = mass_of(self.equilibrium, leaving)
        return tuple(each / mass for each in leaving)

    def _leaving(self, contents: Contents) -> tuple[float, ...]:
        if self.draw == "liquid" and contents.liquid is not None:
            return contents.liquid
        return contents.vapor

    def advance_as_gas(self, step: float) -> None:
        """Draw the rest of the way with no liquid left: the make-up stays."""
        share = step / (1 - self.fraction)
        moles = tuple(each * (1 - share) for each in self.contents.moles)
        density = sum(moles) / self.filling.volume_m3
        pressure = 0.0
        if share < 1:
            shares = _shares(self.contents.moles)
            t_k = self.filling.t_k
            pressure = self.equilibrium.gas_pressure(shares, t_k, density)
        gas = Contents(
            moles=moles, liquid=None, vapor=moles, pressure_pa=pressure, level=0
        )
        self._take(moles, gas, step)

    def _take(self, moles: tuple[float, ...], contents: Contents, step: float) -> None:
        pairs = zip(self.drawn, self.contents.moles, moles, strict=True)
        self.drawn = tuple(drawn + before - after for drawn, before, after in pairs)
        self.contents = contents
        self.fraction += step

    def note(self) -> None:
        """Keep the state as a point of the curve."""
        contents, equilibrium = self.contents, self.equilibrium
        left = sum(contents.moles) > 1e-12 * sum(self.begun)
        leaving = percent_of(
            equilibrium, self._leaving(contents) if left else self.drawn
        )
        drawn = sum(self.drawn) > 0
        point = DrawPoint(
            fraction=self.fraction,
            leaving=leaving,
            delivered=percent_of(equilibrium, self.drawn) if drawn else leaving,
            left=percent_of(equilibrium, contents.moles) if left else None,
            left_liquid=percent_of(equilibrium, contents.liquid)
            if contents.liquid is not None
            else None,
            left_vapor=percent_of(equilibrium, contents.vapor) if left else None,
            liquid_kg=mass_of(equilibrium, contents.liquid),
            vapor_kg=mass_of(equilibrium, contents.vapor) if left else 0.0,
            pressure_pa=contents.pressure_pa,
            balance_error=self._balance_error(),
        )
        self.points.append(point)

    def _balance_error(self) -> float:
        contents = self.contents
        liquid = contents.liquid or tuple(0.0 for _ in self.begun)
        parts = zip(self.begun, self.drawn, liquid, contents.vapor, strict=True)
        lost = [abs(begun - drawn - wet - gas) for begun, drawn, wet, gas in parts]
        masses = self.equilibrium.molar_masses
        pairs = zip(lost, masses, strict=True)
        return max(each * mass for each, mass in pairs) / self.filling.mass_kg


def _less(
    moles: Sequence[float], rate: Sequence[float], mass: float
) -> tuple[float, ...]:
    return tuple(have - mass * each for have, each in zip(moles, rate, strict=True))


def _shares(moles: Sequence[float]) -> tuple[float, ...]:
    total = sum(moles)
    return tuple(each / total for each in moles)

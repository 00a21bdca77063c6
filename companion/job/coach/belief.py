"""A belief about one positive number: what a second of open valve buys.

It is held as a normal law of the number's logarithm, narrowed by each answer on a grid
and kept by its mean and spread. The rule of the trade behind it is "small first, then
by what the last one did": a low spread lets the next opening be longer.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

POINTS, REACH = 61, 4.0
"""Points of the grid, and how many spreads it reaches each way."""
OUTLIERS = 0.03
"""Share of answers that have nothing to do with the opening: a clamp that slipped, a
figure misread and not caught. Our own value."""


Likelihood = Callable[[float], float]
"""How well a value explains what was seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """Mean and spread of the natural logarithm of what is believed [ln unit]."""

    mean: float
    spread: float

    def at(self, sigmas: float) -> float:
        """Give the value so many spreads above the middle."""
        return math.exp(self.mean + sigmas * self.spread)

    def shifted(self, factor: float, spread: float) -> "Belief":
        """Give the belief after the number itself changed by about a factor."""
        return Belief(
            mean=self.mean + math.log(factor), spread=math.hypot(self.spread, spread)
        )

    def widened(self, spread: float) -> "Belief":
        """Give the belief with more doubt."""
        return self.shifted(1.0, spread)

    def told(self, value: float, spread: float) -> "Belief":
        """Take in another estimate of the same number, with its own spread [ln]."""
        mine, other = 1 / self.spread**2, 1 / spread**2
        mean = (self.mean * mine + math.log(value) * other) / (mine + other)
        return Belief(mean=mean, spread=math.sqrt(1 / (mine + other)))

    def answered(
        self, seconds: float, change: float, noise: float, repeat: float
    ) -> "Belief":
        """Take in what an opening changed.

        Parameters
        ----------
        seconds
            How long it was open [s].
        change
            By how much the reading came nearer the target [K].
        noise
            Standard error of that change [K].
        repeat
            How well a hand repeats itself, as a share of the dose.
        """

        def likelihood(rate: float) -> float:
            due = rate * seconds
            sigma = math.hypot(noise, repeat * due)
            odd = OUTLIERS / (2 * 10.0)
            return (1 - OUTLIERS) * _normal((change - due) / sigma) / sigma + odd

        return self._narrowed(likelihood)

    def at_least(
        self, seconds: float, change: float, noise: float, repeat: float
    ) -> "Belief":
        """Take in a change of which a part stayed hidden: the rate was no smaller."""

        def likelihood(rate: float) -> float:
            due = rate * seconds
            sigma = math.hypot(noise, repeat * due)
            return OUTLIERS + _below((due - change) / sigma)

        return self._narrowed(likelihood)

    def _narrowed(self, likelihood: Likelihood) -> "Belief":
        total = first = second = 0.0
        for index in range(POINTS):
            z = REACH * (2 * index / (POINTS - 1) - 1)
            point = self.mean + z * self.spread
            weight = _normal(z) * likelihood(math.exp(point))
            total += weight
            first += weight * point
            second += weight * point * point
        mean = first / total
        spread = math.sqrt(max(second / total - mean * mean, 1e-4))
        return Belief(mean=mean, spread=spread)


def _normal(z: float) -> float:
    return math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def _below(z: float) -> float:
    return 0.5 * (1 + math.erf(z / math.sqrt(2)))

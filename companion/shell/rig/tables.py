"""Saturation properties of the rig's refrigerants, from shipped tables.

Rows stand evenly spaced in the logarithm of pressure, so one division finds the
row and straight lines join the rows. Nothing is extrapolated: outside its rows a
table raises :class:`OutOfTable`, and the plant stops the unit before that.
"""

import itertools
import math
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from companion.shell.rig.errors import OutOfTable, RigError

REFRIGERANTS = ("R-22", "R-32", "R-134a", "R-407C", "R-410A", "R-454B")
_INVERSE_STEPS = 1024


class Saturation(NamedTuple):
    """Saturated liquid and vapor at one pressure, SI units throughout.

    ``k`` is the isentropic exponent of the vapor, ``n`` the power by which it thins
    when superheated, ``rho_2ph`` the mean density of a condensing or boiling stream.
    """

    p_pa: float
    t_bub_k: float
    t_dew_k: float
    rho_l: float
    rho_v: float
    h_l: float
    h_v: float
    cp_v: float
    k: float
    n: float
    rho_2ph: float


def mean_two_phase_density(rho_l: float, rho_v: float) -> float:
    """Average the density of a stream over quality 0 to 1 [kg/m3].

    The vapor runs ahead of the liquid by the cube root of the density ratio, the
    slip of least entropy production. With c = (rho_v/rho_l)^(2/3) the void fraction
    is x/(x + c(1 - x)), and its mean has the closed form below.

    References
    ----------
    Zivi, S.M.: Estimation of Steady-State Steam Void-Fraction by Means of the
    Principle of Minimum Entropy Production. Journal of Heat Transfer 86 (1964)
    247-252.
    """
    c = math.pow(rho_v / rho_l, 2 / 3)
    void = 1 / (1 - c) + c * math.log(c) / (1 - c) ** 2
    return void * rho_v + (1 - void) * rho_l


class Inverse:
    """A rising column turned round: from its value to the logarithm of pressure."""

    def __init__(self, name: str, values: list[float], ln_p: list[float]) -> None:
        self._name = name
        self._low, self._high = values[0], values[-1]
        self._step = (self._high - self._low) / _INVERSE_STEPS
        self._ln_p = []
        row = 0
        for i in range(_INVERSE_STEPS + 1):
            at = self._low + i * self._step
            while row < len(values) - 2 and values[row + 1] < at:
                row += 1
            share = (at - values[row]) / (values[row + 1] - values[row])
            self._ln_p.append(ln_p[row] + share * (ln_p[row + 1] - ln_p[row]))

    def ln_p(self, value: float) -> float:
        """Give the natural logarithm of the pressure [Pa] where the column is so.

        Raises
        ------
        OutOfTable
            If the value lies outside the column.
        """
        place = (value - self._low) / self._step
        if not -1e-9 <= place <= _INVERSE_STEPS + 1e-9:
            raise OutOfTable(self._name, value, self._low, self._high)
        i = min(max(int(place), 0), _INVERSE_STEPS - 1)
        at = self._ln_p[i]
        return at + (place - i) * (self._ln_p[i + 1] - at)


class Table:
    """One refrigerant's saturation table."""

    def __init__(self, designation: str, rows: list[list[float]]) -> None:
        self.designation = designation
        full = [[*row, mean_two_phase_density(row[3], row[4])] for row in rows]
        self._ln_low = math.log(full[0][0])
        self._ln_high = math.log(full[-1][0])
        self._step = (self._ln_high - self._ln_low) / (len(full) - 1)
        self._last = len(full) - 2
        self._spans = [
            tuple((a, b - a) for a, b in zip(low, high, strict=True))
            for low, high in itertools.pairwise(full)
        ]
        ln_p = [self._ln_low + i * self._step for i in range(len(full))]
        self._of_bub = Inverse(
            f"{designation} bubble point in K", [row[1] for row in full], ln_p
        )
        self._of_mid = Inverse(
            f"{designation} mid-glide temperature in K",
            [(row[1] + row[2]) / 2 for row in full],
            ln_p,
        )
        self._of_rho_v = Inverse(
            f"{designation} logarithm of vapor density",
            [math.log(row[4]) for row in full],
            ln_p,
        )

    @property
    def lowest_pa(self) -> float:
        """The lowest pressure held [Pa absolute]."""
        return math.exp(self._ln_low)

    @property
    def highest_pa(self) -> float:
        """The highest pressure held [Pa absolute]."""
        return math.exp(self._ln_high)

    def at_ln_p(self, ln_p: float) -> Saturation:
        """Give the properties at a natural logarithm of pressure [Pa absolute].

        Raises
        ------
        OutOfTable
            If the pressure lies outside the rows.
        """
        place = (ln_p - self._ln_low) / self._step
        if not -1e-6 <= place <= self._last + 1 + 1e-6:
            raise OutOfTable(
                f"{self.designation} pressure in Pa",
                math.exp(ln_p),
                self.lowest_pa,
                self.highest_pa,
            )
        i = min(max(int(place), 0), self._last)
        share = place - i
        return Saturation._make([a + share * d for a, d in self._spans[i]])

    def at_p(self, p_pa: float) -> Saturation:
        """Give the properties at a pressure [Pa absolute]; see :meth:`at_ln_p`."""
        return self.at_ln_p(math.log(p_pa))

    def at_bubble(self, t_k: float) -> Saturation:
        """Give the properties where the bubble point is ``t_k`` [K]."""
        return self.at_ln_p(self._of_bub.ln_p(t_k))

    def at_middle(self, t_k: float) -> Saturation:
        """Give the properties where bubble and dew point average ``t_k`` [K]."""
        return self.at_ln_p(self._of_mid.ln_p(t_k))

    def at_vapor_density(self, rho: float) -> Saturation:
        """Give the properties where saturated vapor weighs ``rho`` [kg/m3]."""
        return self.at_ln_p(self._of_rho_v.ln_p(math.log(rho)))


def read_rows(text: str) -> list[list[float]]:
    """Read a table file: lines of numbers, ``#`` opens a comment line."""
    return [
        [float(word) for word in line.split()]
        for line in text.splitlines()
        if line and not line.startswith("#")
    ]


@cache
def table_of(designation: str) -> Table:
    """Load the table of a refrigerant by its ASHRAE designation.

    Raises
    ------
    RigError
        If the rig has no table for it; the message lists those it has.
    """
    if designation not in REFRIGERANTS:
        known = ", ".join(REFRIGERANTS)
        raise RigError(f"the rig has no table for {designation!r}; it has {known}")
    path = files("companion.shell.rig").joinpath("data", f"{designation}.txt")
    return Table(designation, read_rows(path.read_text(encoding="utf-8")))

"""Saturation from a shipped table: a cubic spline of ln P over 1/T.

In these coordinates a saturation curve is almost a straight line, so that nodes 5 K
apart give the pressure within 0.002 % of the library that the table was made with
(Clausius-Clapeyron: the slope of ln P over 1/T is the latent heat, which changes
slowly). The spline ends not-a-knot: its first two and last two pieces are each one
cubic. Outside the nodes nothing is given.
"""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pydantic import Field

from companion.knowledge.catalogue import Catalogue
from companion.knowledge.properties import Curve, OutsideTable, Substance
from companion.knowledge.quantities import K_AT_0_C, AbsolutePressure, Temperature
from companion.knowledge.tables import TableFault, TableModel, check_table

FILE = "saturation.json"
MIN_NODES = 4  # a not-a-knot spline needs them
SLACK = 1e-9  # relative; a value on the edge may have been through a unit conversion


class _CurvesRow(TableModel):
    nodes_c: list[float] = Field(min_length=MIN_NODES)
    ends_at_critical: bool = False
    bubble_pa: list[float]
    dew_pa: list[float] | None = None


class _File(TableModel):
    made_with: str
    method: str
    pairs: dict[str, str]
    tables: dict[str, _CurvesRow]


@dataclass(frozen=True, slots=True)
class SaturationCurve:
    """One curve: nodes of x = 1/T [1/K] falling, y = ln P [ln Pa] rising, and y''."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    bend: tuple[float, ...]

    @classmethod
    def through(cls, t_k: Sequence[float], p_pa: Sequence[float]) -> "SaturationCurve":
        """Lay the spline through temperatures [K] and pressures [Pa], both rising."""
        x = tuple(1 / t for t in t_k)
        y = tuple(math.log(p) for p in p_pa)
        return cls(x=x, y=y, bend=_second_derivatives(x, y))

    def _piece(self, i: int) -> tuple[float, float, float, float]:
        """Coefficients of piece ``i`` in powers of x - x[i]."""
        h = self.x[i + 1] - self.x[i]
        b0, b1 = self.bend[i], self.bend[i + 1]
        slope = (self.y[i + 1] - self.y[i]) / h - h * (2 * b0 + b1) / 6
        return self.y[i], slope, b0 / 2, (b1 - b0) / (6 * h)

    def ln_p(self, t_k: float) -> float:
        """Give ln P [ln Pa] at a temperature [K] within the nodes."""
        x = 1 / t_k
        # Nodes fall in x, so search in the negated order.
        i = bisect_right(self.x, -x, key=lambda node: -node) - 1
        i = min(max(i, 0), len(self.x) - 2)
        a, b, c, d = self._piece(i)
        s = x - self.x[i]
        return a + s * (b + s * (c + s * d))

    def t_k(self, ln_p: float) -> float:
        """Give the temperature [K] at ln P [ln Pa] within the nodes."""
        i = min(max(bisect_right(self.y, ln_p) - 1, 0), len(self.y) - 2)
        a, b, c, d = self._piece(i)
        s = (self.x[i + 1] - self.x[i]) * (ln_p - a) / (self.y[i + 1] - a)
        for _ in range(4):  # Newton on an almost straight line: 3 steps are exact
            value = a + s * (b + s * (c + s * d)) - ln_p
            s -= value / (b + s * (2 * c + s * 3 * d))
        return 1 / (self.x[i] + s)


def _second_derivatives(
    x: tuple[float, ...], y: tuple[float, ...]
) -> tuple[float, ...]:
    """Solve for the second derivatives of a not-a-knot cubic spline."""
    n = len(x)
    h = [x[i + 1] - x[i] for i in range(n - 1)]
    slope = [(y[i + 1] - y[i]) / h[i] for i in range(n - 1)]
    # Inner equations, with both end values put in from the not-a-knot conditions.
    low, mid, up, rhs = [], [], [], []
    for i in range(1, n - 1):
        low.append(h[i - 1])
        mid.append(2 * (h[i - 1] + h[i]))
        up.append(h[i])
        rhs.append(6 * (slope[i] - slope[i - 1]))
    first, last = h[0] / h[1], h[-1] / h[-2]
    mid[0] += h[0] * (1 + first)
    up[0] -= h[0] * first
    mid[-1] += h[-1] * (1 + last)
    low[-1] -= h[-1] * last
    for i in range(1, n - 2):
        factor = low[i] / mid[i - 1]
        mid[i] -= factor * up[i - 1]
        rhs[i] -= factor * rhs[i - 1]
    inner = [0.0] * (n - 2)
    inner[-1] = rhs[-1] / mid[-1]
    for i in range(n - 4, -1, -1):
        inner[i] = (rhs[i] - up[i] * inner[i + 1]) / mid[i]
    start = inner[0] * (1 + first) - inner[1] * first
    end = inner[-1] * (1 + last) - inner[-2] * last
    return (start, *inner, end)


@dataclass(frozen=True, slots=True, kw_only=True)
class SaturationTables:
    """Saturation of every supported refrigerant, from the shipped table.

    Attributes
    ----------
    curves
        Bubble and dew curve by designation.
    made_with
        The library and version that the table was made with.
    end_at_critical
        Designations of those whose table ends at the critical point.
    """

    curves: Mapping[str, Mapping[Curve, SaturationCurve]]
    made_with: str
    end_at_critical: frozenset[str] = frozenset()

    def saturation_temperature(
        self, refrigerant: Substance, curve: Curve, pressure: AbsolutePressure
    ) -> Temperature | OutsideTable:
        """Give the bubble or dew point at a pressure.

        Parameters
        ----------
        refrigerant
            A supported refrigerant.
        curve
            ``bubble`` or ``dew``.
        pressure
            Absolute pressure.

        Returns
        -------
        Temperature or OutsideTable
            The latter outside the nodes, which span at least -45 to 66 degC unless
            the substance freezes above or has its critical point below.
        """
        found = self.curves[refrigerant.designation][curve]
        ln_p = math.log(pressure.pa) if pressure.pa > 0 else -math.inf
        if not found.y[0] - SLACK <= ln_p <= found.y[-1] + SLACK:
            return OutsideTable(
                what="pressure",
                designation=refrigerant.designation,
                asked=pressure,
                low=AbsolutePressure(math.exp(found.y[0])),
                high=AbsolutePressure(math.exp(found.y[-1])),
                above_critical=ln_p > found.y[-1] and self._critical(refrigerant),
            )
        return Temperature(found.t_k(ln_p))

    def saturation_pressure(
        self, refrigerant: Substance, curve: Curve, temperature: Temperature
    ) -> AbsolutePressure | OutsideTable:
        """Give the bubble or dew pressure at a temperature.

        Parameters and behavior outside the nodes as in
        :meth:`saturation_temperature`.
        """
        found = self.curves[refrigerant.designation][curve]
        low_k, high_k = 1 / found.x[0], 1 / found.x[-1]
        if not low_k * (1 - SLACK) <= temperature.k <= high_k * (1 + SLACK):
            return OutsideTable(
                what="temperature",
                designation=refrigerant.designation,
                asked=temperature,
                low=Temperature(low_k),
                high=Temperature(high_k),
                above_critical=temperature.k > high_k and self._critical(refrigerant),
            )
        return AbsolutePressure(math.exp(found.ln_p(temperature.k)))

    def _critical(self, refrigerant: Substance) -> bool:
        return refrigerant.designation in self.end_at_critical


def read_saturation(
    text: str, catalogue: Catalogue
) -> SaturationTables | tuple[TableFault, ...]:
    """Read ``saturation.json``, or find everything that is wrong with it.

    Parameters
    ----------
    text
        Text of the file.
    catalogue
        Every refrigerant and every fluid of it must have a table.
    """
    found = check_table(FILE, text, _File)
    if isinstance(found, tuple):
        return found
    faults = _table_faults(found, catalogue)
    if faults:
        return faults
    curves: dict[str, Mapping[Curve, SaturationCurve]] = {}
    for name, row in found.tables.items():
        t_k = [c + K_AT_0_C for c in row.nodes_c]
        bubble = SaturationCurve.through(t_k, row.bubble_pa)
        dew = bubble if row.dew_pa is None else SaturationCurve.through(t_k, row.dew_pa)
        curves[name] = {"bubble": bubble, "dew": dew}
    return SaturationTables(
        curves=curves,
        made_with=found.made_with,
        end_at_critical=frozenset(
            name for name, row in found.tables.items() if row.ends_at_critical
        ),
    )


def _table_faults(found: _File, catalogue: Catalogue) -> tuple[TableFault, ...]:
    wanted = [each.designation for each in catalogue.refrigerants]
    faults = [
        TableFault(
            file=FILE,
            key=f"tables.{name}",
            wrong="the refrigerant has no saturation table",
            right="build the tables again",
        )
        for name in (*wanted, *catalogue.fluids)
        if name not in found.tables
    ]
    for name, row in found.tables.items():
        for key in ("nodes_c", "bubble_pa", "dew_pa"):
            values = getattr(row, key)
            if values is None:
                continue
            if len(values) != len(row.nodes_c) or not _rising(values):
                fault = TableFault(
                    file=FILE,
                    key=f"tables.{name}.{key}",
                    wrong="not one value a node, each above the one before",
                    right="build the tables again",
                )
                faults.append(fault)
    return tuple(faults)


def _rising(values: Sequence[float]) -> bool:
    return all(low < high for low, high in pairwise(values))

"""The refrigerant cylinder, its valves and the charging hose.

Liquid leaves through the charging valve at a flow choked by its own flashing; vapor
leaves as gas through an orifice. Drawing vapor chills what is left by the full latent
heat; drawing liquid only by the vapor that takes its place. The composition of a
blend is kept as it is: the drift while vapor is drawn is not modelled.
"""

import math
from typing import NamedTuple

from companion.shell.rig.tables import Saturation, Table
from companion.shell.rig.units import k_from_f

FULL_OPEN_M2 = 2.2e-6  # chosen: about 65 g/s of R-410A at 95 F wide open
LIQUID_CHOKE = 0.80
VAPOR_DISCHARGE = 0.6
VAPOR_CHOKE = 0.55
LIQUID_COOLING = 0.06  # latent heat share: vapor that fills the place of liquid
FILL_LIMIT = 0.8  # of the volume, at the fill of a full one
BATH_K = k_from_f(100.0)  # warm water, chosen well under any cylinder's limit
_AIR_W_K = 8.0
_BATH_W_K = 60.0
_STEEL_J_KGK = 460.0
LIQUID_J_KGK = 1500.0
_LEAST_VOLUME_M3 = 0.012
_LAST_KG = 1e-9  # a trace is let go at once rather than halved for ever


class Flow(NamedTuple):
    """What comes out of a valve or hose: kg/s, whether liquid, and its enthalpy."""

    kg_s: float
    liquid: bool
    h: float


NO_FLOW = Flow(0.0, True, 0.0)


class Cylinder:
    """Content and temperature of the cylinder, how it stands, and its own valve."""

    __slots__ = (
        "_steel_j_k",
        "_table",
        "_volume_m3",
        "dip_tube",
        "in_bath",
        "inverted",
        "net_kg",
        "t_k",
        "valve_open",
    )

    def __init__(
        self,
        table: Table,
        *,
        net_kg: float,
        tare_kg: float,
        dip_tube: bool,
        t_k: float,
    ) -> None:
        self._table = table
        self._steel_j_k = _STEEL_J_KGK * tare_kg
        full_m3 = net_kg / table.at_bubble(t_k).rho_l / FILL_LIMIT
        self._volume_m3 = max(full_m3, _LEAST_VOLUME_M3)
        self.net_kg = net_kg
        self.dip_tube = dip_tube
        self.t_k = t_k
        self.inverted = not dip_tube
        self.valve_open = True
        self.in_bath = False

    def liquid_kg(self, row: Saturation) -> float:
        """Give the liquid inside at the cylinder's saturation state."""
        gas_kg = (self._volume_m3 - self.net_kg / row.rho_l) / (
            1 / row.rho_v - 1 / row.rho_l
        )
        return max(self.net_kg - gas_kg, 0.0)

    def look(self) -> tuple[Saturation, float, float]:
        """Give the saturation state, the pressure [Pa] and the liquid inside [kg]."""
        row = self._table.at_bubble(self.t_k)
        liquid = self.liquid_kg(row)
        if liquid > 0:
            return row, row.p_pa, liquid
        return row, row.p_pa * self.net_kg / (row.rho_v * self._volume_m3), 0.0

    def flow(self, opening: float, p_out_pa: float, dt_s: float) -> Flow:
        """Give what passes the charging valve towards ``p_out_pa`` in ``dt_s``.

        Nothing flows back: a unit at higher pressure leaves the cylinder as it is.
        """
        row, p_pa, liquid_kg = self.look()
        liquid = self.inverted != self.dip_tube and liquid_kg > 0
        area = FULL_OPEN_M2 * opening if self.valve_open else 0.0
        if p_pa <= p_out_pa or area <= 0 or self.net_kg <= 0:
            return Flow(0.0, liquid, row.h_l if liquid else row.h_v)
        if liquid:
            drop_pa = p_pa - max(LIQUID_CHOKE * p_pa, p_out_pa)
            choked = area * math.sqrt(2 * row.rho_l * drop_pa)
            return Flow(min(choked, liquid_kg / dt_s), True, row.h_l)
        over = max(p_out_pa / p_pa - VAPOR_CHOKE, 0.0) / (1 - VAPOR_CHOKE)
        rho = row.rho_v * p_pa / row.p_pa
        choked = VAPOR_DISCHARGE * area * math.sqrt(rho * p_pa)
        drawn = choked * math.sqrt(1 - over**2)
        return Flow(min(drawn, self.net_kg / dt_s), False, row.h_v)

    def step(self, dt_s: float, drawn: Flow, air_k: float) -> None:
        """Lose what was drawn, cool by it, and take up warmth from air or bath."""
        taken_w = 0.0
        if drawn.kg_s > 0:
            self.net_kg -= drawn.kg_s * dt_s
            row = self._table.at_bubble(self.t_k)
            share = LIQUID_COOLING if drawn.liquid else 1.0
            taken_w = share * drawn.kg_s * (row.h_v - row.h_l)
        given_w = _AIR_W_K * (air_k - self.t_k)
        if self.in_bath:
            given_w = _BATH_W_K * (BATH_K - self.t_k)
        heat_j_k = self._steel_j_k + LIQUID_J_KGK * self.net_kg
        self.t_k += (given_w - taken_w) * dt_s / heat_j_k


class Hose:
    """The charging hose: what enters leaves with a lag, and what is inside is mass."""

    __slots__ = ("_lag_s", "h", "kg", "liquid")

    def __init__(self, lag_s: float) -> None:
        self._lag_s = lag_s
        self.kg = 0.0
        self.liquid = True
        self.h = 0.0

    def step(self, dt_s: float, entering: Flow) -> Flow:
        """Take in what enters and give what reaches the unit."""
        lag_s = self._lag_s if self.kg > _LAST_KG else dt_s
        leaving_kg_s = self.kg / lag_s
        self.kg += (entering.kg_s - leaving_kg_s) * dt_s
        if entering.kg_s > 0:
            self.liquid, self.h = entering.liquid, entering.h
        return Flow(leaving_kg_s, self.liquid, self.h)

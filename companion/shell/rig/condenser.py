"""The high side: discharge line, condenser and liquid line as one inventory.

Liquid fills the last share of the condenser's tubes; the rest holds two-phase
refrigerant of mean density and a little gas. When the inventory is too small for
that, the liquid line holds vapor as well and the metering device is fed a mixture.
"""

import math
from typing import NamedTuple

from companion.shell.rig.air import Surroundings
from companion.shell.rig.design import DESUPERHEATING, CondenserSize, Design
from companion.shell.rig.tables import Saturation

_SUBCOOLING_LAG_S = 14.0
_FEWEST_KG_S_SHARE = 0.05  # keeps the subcooler's length finite as the flow stops
_UA_POWER = 0.4  # how the condenser weakens as liquid fills its tubes, chosen


class HighSide(NamedTuple):
    """The high side at one moment, SI units.

    ``p_pa`` is what a gauge feels, ``liquid_share`` the tubes' share full of liquid
    (negative when the liquid line holds vapor), ``vapor_quality`` that vapor's mass
    share, ``feed_rho`` and ``feed_h`` what reaches the metering device.
    """

    row: Saturation
    p_pa: float
    liquid_share: float
    vapor_quality: float
    feed_rho: float
    feed_h: float
    flash_pa: float


def dry_kg(size: CondenserSize, row: Saturation, liquid: Saturation) -> float:
    """Give what the high side holds with no liquid in the tubes and a full line."""
    two_phase = (1 - DESUPERHEATING) * row.rho_2ph + DESUPERHEATING * row.rho_v
    return (
        size.tubes_m3 * two_phase
        + size.liquid_line_m3 * liquid.rho_l
        + size.discharge_m3 * row.rho_v
    )


class Condenser:
    """Mass, temperature and subcooling of the high side."""

    __slots__ = ("_design", "_size", "mass_kg", "subcooling_k", "t_k")

    def __init__(
        self, design: Design, mass_kg: float, t_k: float, subcooling_k: float
    ) -> None:
        self._design = design
        self._size = design.condenser
        self.mass_kg = mass_kg
        self.t_k = t_k
        self.subcooling_k = subcooling_k

    def look(self, air: Surroundings) -> HighSide:
        """Work out the high side's pressures and what the metering device is fed."""
        size = self._size
        table = self._design.table
        row = table.at_middle(self.t_k)
        liquid = table.at_bubble(row.t_bub_k - self.subcooling_k)
        spare_kg = self.mass_kg - dry_kg(size, row, liquid)
        if spare_kg >= 0:
            mean_rho = (row.rho_l + liquid.rho_l) / 2
            liquid_share = spare_kg / (size.tubes_m3 * (mean_rho - row.rho_2ph))
            rho, quality = liquid.rho_l, 0.0
        else:
            liquid_share = 0.0
            rho = max(liquid.rho_l + spare_kg / size.liquid_line_m3, row.rho_v)
            quality = (1 / rho - 1 / liquid.rho_l) / (1 / row.rho_v - 1 / liquid.rho_l)
        return HighSide(
            row=row,
            p_pa=row.p_pa + air.foreign_pa,
            liquid_share=min(liquid_share, 0.95),
            vapor_quality=quality,
            feed_rho=rho,
            feed_h=liquid.h_l + quality * (row.h_v - row.h_l),
            flash_pa=liquid.p_pa,
        )

    def step(
        self,
        dt_s: float,
        air: Surroundings,
        high: HighSide,
        *,
        in_kg_s: float,
        in_h: float,
        out_kg_s: float,
    ) -> None:
        """Move on by ``dt_s``: gas comes in at enthalpy ``in_h``, liquid leaves."""
        size, design = self._size, self._design
        self.mass_kg += (in_kg_s - out_kg_s) * dt_s
        room_k = max(high.row.t_bub_k - air.outdoor_k, 0.0)
        flow_share = max(out_kg_s / design.flow_kg_s, _FEWEST_KG_S_SHARE)
        reach = 1 - math.exp(-size.subcooler_ntu * high.liquid_share / flow_share)
        lag_s = _SUBCOOLING_LAG_S * design.slow
        self.subcooling_k += (room_k * reach - self.subcooling_k) * dt_s / lag_s
        open_share = (1 - high.liquid_share) / (1 - size.subcooled_share)
        ua = size.ua * open_share**_UA_POWER * air.outdoor_fan
        rejected_w = ua * (self.t_k - air.outdoor_k)
        brought_w = in_kg_s * (in_h - high.feed_h)
        self.t_k += (brought_w - rejected_w) * dt_s / size.wall_j_k

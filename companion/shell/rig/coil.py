"""The indoor coil: a flooded part that boils and a dry rest that superheats.

The wall temperature is that of the flooded part; the heat a fully flooded coil would
take up at it, times the flooded share, boils the coil's liquid.
"""

import math
from typing import NamedTuple

from companion.shell.rig.air import Surroundings
from companion.shell.rig.design import Design, boiling_k
from companion.shell.rig.tables import Saturation

_OUTLET_LAG_S = 12.0
_SPILL_S = 4.0
_FEWEST_FLOW_SHARE = 0.05


class Boiling(NamedTuple):
    """What left the coil's liquid in one moment [kg/s]: as vapor and as liquid."""

    boiled_kg_s: float
    spilled_kg_s: float


class Coil:
    """Liquid, wall and outlet temperature of the indoor coil."""

    __slots__ = ("_design", "_size", "liquid_kg", "out_k", "wall_k")

    def __init__(
        self, design: Design, liquid_kg: float, wall_k: float, out_k: float
    ) -> None:
        self._design = design
        self._size = design.coil
        self.liquid_kg = liquid_kg
        self.wall_k = wall_k
        self.out_k = out_k

    def step(
        self,
        dt_s: float,
        air: Surroundings,
        low: Saturation,
        *,
        liquid_in_kg_s: float,
        flow_kg_s: float,
    ) -> Boiling:
        """Move on by ``dt_s`` with so much liquid fed and so much vapor drawn off."""
        size = self._size
        flooded = min(self.liquid_kg / size.full_kg, 1.0)
        air_w = air.indoor_air * max(
            size.air_wet_w_k * (air.wb_k - self.wall_k),
            size.air_dry_w_k * (air.db_k - self.wall_k),
        )
        wall_w = max(size.wall_ua * (self.wall_k - boiling_k(low)), 0.0)
        boiled = flooded * wall_w / (low.h_v - low.h_l)
        spilled = max(self.liquid_kg - size.full_kg, 0.0) / _SPILL_S
        self.wall_k += (air_w - wall_w) * dt_s / size.wall_j_k
        self.liquid_kg += (liquid_in_kg_s - boiled - spilled) * dt_s
        self._superheat(dt_s, air, low, 1 - flooded, flow_kg_s)
        return Boiling(boiled, spilled)

    def _superheat(
        self,
        dt_s: float,
        air: Surroundings,
        low: Saturation,
        dry: float,
        flow_kg_s: float,
    ) -> None:
        share = max(flow_kg_s / self._design.flow_kg_s, _FEWEST_FLOW_SHARE)
        reach = 1 - math.exp(
            -self._size.dry_ntu * dry * air.indoor_air**0.5 / share**0.5
        )
        end_k = low.t_dew_k + max(air.db_k - low.t_dew_k, 0.0) * reach
        self.out_k += (end_k - self.out_k) * dt_s / (_OUTLET_LAG_S * self._design.slow)

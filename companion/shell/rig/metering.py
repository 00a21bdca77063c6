"""The metering device: a fixed orifice, or a valve that follows its bulb."""

import math

from companion.shell.rig.air import Surroundings
from companion.shell.rig.condenser import HighSide
from companion.shell.rig.design import Design, driving_drop_pa

_BULB_LAG_S = 20.0
_STEM_LAG_S = 3.0
_LEAST_STROKE = 0.03


class Metering:
    """The area open to the liquid, and for a valve its bulb and stem."""

    __slots__ = ("_design", "_size", "bulb_k", "stroke")

    def __init__(self, design: Design, bulb_k: float) -> None:
        self._design = design
        self._size = design.metering
        self.bulb_k = bulb_k
        self.stroke = design.traits.valve_stroke

    def flow_kg_s(self, high: HighSide, p_out_pa: float, air: Surroundings) -> float:
        """Give the flow from the liquid line into the coil."""
        area = self._size.area_m2
        if self._size.thermostatic:
            area *= self.stroke / self._design.traits.valve_stroke
        narrow = self._size.area_m2 * air.bottleneck
        area /= math.sqrt(1 + (area / narrow) ** 2)
        flash_pa = self._design.traits.flash_factor * high.flash_pa
        drop_pa = driving_drop_pa(high.p_pa, p_out_pa, flash_pa)
        return area * math.sqrt(2 * high.feed_rho * drop_pa)

    def step(self, dt_s: float, out_k: float, t_dew_k: float) -> None:
        """Let the bulb follow the coil outlet, and the stem the bulb."""
        if not self._size.thermostatic:
            return
        slow = self._design.slow
        self.bulb_k += (out_k - self.bulb_k) * dt_s / (_BULB_LAG_S * slow)
        superheat_k = self.bulb_k - t_dew_k
        wanted = (superheat_k - self._size.static_k) / self._design.traits.valve_range_k
        wanted = min(max(wanted, _LEAST_STROKE), 1.0)
        self.stroke += (wanted - self.stroke) * dt_s / (_STEM_LAG_S * slow)

"""The low side's vapor, the suction line, and the compressor.

Liquid that arrives in the suction line, from the charging hose or spilled by the
coil, lies in a short stub: some of it boils there on the warmth of the passing gas
and the pipe, the rest is carried on. A part of what is carried goes straight into
the compressor, a part is taken up by the oil and released over minutes, the rest
boils on the compressor's shell. The shares are chosen values; no source was found.
"""

import math
from typing import NamedTuple

from companion.shell.rig.air import Surroundings
from companion.shell.rig.design import (
    LINE_COOLER_K,
    SHELL_SHARE,
    Design,
    compression_work,
    fill_share,
    gas_density,
)
from companion.shell.rig.tables import Saturation

_PIPE_W_K = 5.0  # the stub's own pickup from the air, chosen
_LINE_LAG_S = 8.0
_SHELL_S = 5.0
_FEWEST_FLOW_SHARE = 0.05
_TRACE_KG = 1e-9


class Drawn(NamedTuple):
    """What the compressor did in one moment: kg/s, W, and J/kg at the discharge."""

    vapor_kg_s: float
    wet_kg_s: float
    power_w: float
    out_h: float

    @property
    def wetness(self) -> float:
        """The liquid share of what the compressor took in (0 to 1)."""
        return self.wet_kg_s / max(self.vapor_kg_s + self.wet_kg_s, 1e-9)


class SuctionSide:
    """Vapor of the low side, liquid on its way, and the gas at the port."""

    __slots__ = (
        "_chill_k",
        "_design",
        "_size",
        "oil_kg",
        "port_k",
        "shell_kg",
        "stub_kg",
        "vapor_kg",
    )

    def __init__(self, design: Design, vapor_kg: float, port_k: float) -> None:
        self._design = design
        self._size = design.suction
        self._chill_k = 0.0
        self.vapor_kg = vapor_kg
        self.port_k = port_k
        self.stub_kg = 0.0
        self.shell_kg = 0.0
        self.oil_kg = 0.0

    @property
    def mass_kg(self) -> float:
        """Everything the low side holds outside the coil's liquid."""
        return self.vapor_kg + self.stub_kg + self.shell_kg + self.oil_kg

    def look(self) -> Saturation:
        """Give the saturation state at the suction pressure."""
        return self._design.table.at_vapor_density(self.vapor_kg / self._size.vapor_m3)

    def draw_kg_s(self, low: Saturation, p_out_pa: float) -> float:
        """Give the vapor the compressor takes in."""
        gas_k = max(self.port_k - self._chill_k, low.t_dew_k)
        fill = fill_share(low.p_pa, p_out_pa)
        return self._size.displacement_m3_s * gas_density(low, gas_k) * fill

    def step(
        self,
        dt_s: float,
        air: Surroundings,
        low: Saturation,
        p_out_pa: float,
        *,
        vapor_in_kg_s: float,
        liquid_in_kg_s: float,
        out_k: float,
    ) -> Drawn:
        """Move on by ``dt_s`` with so much vapor and liquid coming in.

        ``out_k`` is the coil's outlet temperature.
        """
        drawn_kg_s = self.draw_kg_s(low, p_out_pa)
        self._warm_line(dt_s, air, low, drawn_kg_s, out_k)
        superheat_k = max(self.port_k - low.t_dew_k, 0.0)
        power_w = (
            drawn_kg_s
            * compression_work(low, low.t_dew_k + superheat_k, p_out_pa)
            / self._design.traits.isentropic
        )
        stub, shell, oil, wet = self._move_liquid(
            dt_s, air, low, drawn_kg_s, superheat_k, power_w, liquid_in_kg_s
        )
        self.vapor_kg += (vapor_in_kg_s + stub + shell + oil - drawn_kg_s) * dt_s
        latent = low.h_v - low.h_l
        heat_rate = max(drawn_kg_s, 1e-6) * low.cp_v
        self._chill_k = min(stub * latent / heat_rate, superheat_k)
        gas_h = low.h_v + low.cp_v * (superheat_k - self._chill_k)
        work_w = (1 - SHELL_SHARE) * power_w
        out_h = gas_h + work_w / max(drawn_kg_s, 1e-6)
        wet_share = wet / max(drawn_kg_s + wet, 1e-9)
        return Drawn(drawn_kg_s, wet, power_w, out_h - wet_share * latent)

    def _warm_line(
        self,
        dt_s: float,
        air: Surroundings,
        low: Saturation,
        drawn_kg_s: float,
        out_k: float,
    ) -> None:
        flow = max(drawn_kg_s, _FEWEST_FLOW_SHARE * self._design.flow_kg_s)
        kept = math.exp(-self._size.line_ua / (flow * low.cp_v))
        line_air_k = air.outdoor_k - LINE_COOLER_K
        end_k = line_air_k + (out_k - line_air_k) * kept
        lag_s = _LINE_LAG_S * self._design.slow
        self.port_k += (end_k - self.port_k) * dt_s / lag_s

    def _drop_traces(self) -> None:
        """Let the last trace of liquid go as vapor rather than halve it for ever."""
        if 0 < self.stub_kg < _TRACE_KG:
            self.vapor_kg += self.stub_kg
            self.stub_kg = 0.0
        if 0 < self.shell_kg < _TRACE_KG:
            self.vapor_kg += self.shell_kg
            self.shell_kg = 0.0

    def _move_liquid(
        self,
        dt_s: float,
        air: Surroundings,
        low: Saturation,
        drawn_kg_s: float,
        superheat_k: float,
        power_w: float,
        liquid_in_kg_s: float,
    ) -> tuple[float, float, float, float]:
        """Give what boils in the stub, on the shell and out of the oil, and goes in wet."""
        traits, latent = self._design.traits, low.h_v - low.h_l
        gas_w = drawn_kg_s * low.cp_v * superheat_k
        pipe_w = _PIPE_W_K * max(air.outdoor_k - low.t_dew_k, 0.0)
        stub = min(self.stub_kg / traits.boil_s, (gas_w + pipe_w) / latent)
        carried = self.stub_kg / traits.carry_s
        wet = traits.direct_share * carried
        soaked = traits.oil_share * (carried - wet)
        left_w = max(gas_w + pipe_w - stub * latent, 0.0)
        shell_w = SHELL_SHARE * power_w + left_w
        shell = min(self.shell_kg / _SHELL_S, shell_w / latent)
        oil = self.oil_kg / (traits.oil_s * self._design.slow)
        self.stub_kg += (liquid_in_kg_s - stub - carried) * dt_s
        self.shell_kg += (carried - wet - soaked - shell) * dt_s
        self.oil_kg += (soaked - oil) * dt_s
        self._drop_traces()
        return stub, shell, oil, wet

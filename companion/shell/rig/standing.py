"""The unit at rest: one mass in one volume at one temperature.

With the compressor off the pressures meet. An evacuated unit drinks liquid from the
cylinder: it flashes into the vacuum and chills the metal, the pressure climbs to
saturation at that temperature, and flow goes on until the weight is in, or until the
metal has warmed so far that its pressure meets the cylinder's.
"""

from companion.shell.rig.cylinder import LIQUID_J_KGK, Flow
from companion.shell.rig.design import Design
from companion.shell.rig.tables import Saturation
from companion.shell.rig.units import WATTS_PER_TON

_METAL_J_K_TON = 9000.0  # coils and lines, chosen
_AIR_W_K_TON = 12.0  # still air round them, chosen
_MEET_S = {False: 45.0, True: 90.0}  # pressures meet; a valve shuts, so it is slower
_ROUNDS = 4


def inside_m3(design: Design) -> float:
    """Give the whole inside of a unit [m3]."""
    size = design.condenser
    high_m3 = size.tubes_m3 + size.liquid_line_m3 + size.discharge_m3
    row = design.table.at_middle(design.rating.coil_k)
    return high_m3 + design.suction.vapor_m3 + design.coil.full_kg / row.rho_l


class Standing:
    """Mass and temperature of a unit that is off, and the pressures seen meeting.

    ``low_pa`` and ``high_pa`` start at what they were when the unit stopped.
    """

    __slots__ = (
        "_design",
        "_gas_kg",
        "_meet_s",
        "_tons",
        "high_pa",
        "low_pa",
        "mass_kg",
        "p_pa",
        "t_k",
        "volume_m3",
    )

    def __init__(
        self,
        design: Design,
        mass_kg: float,
        t_k: float,
        *,
        apart_pa: tuple[float, float] | None = None,
    ) -> None:
        self._design = design
        self._meet_s = _MEET_S[design.metering.thermostatic]
        self._tons = design.cooling_w / WATTS_PER_TON
        self.volume_m3 = inside_m3(design)
        self.mass_kg = mass_kg
        self.t_k = t_k
        self._gas_kg = self._vapor_kg(design.table.at_bubble(t_k))
        self.p_pa = self._pressure()
        self.low_pa, self.high_pa = apart_pa or (self.p_pa, self.p_pa)

    def step(self, dt_s: float, air_k: float, charging: Flow) -> None:
        """Move on by ``dt_s`` with so much coming in."""
        row = self._design.table.at_bubble(self.t_k)
        added_kg = charging.kg_s * dt_s
        self.mass_kg += added_kg
        gas_kg = self._vapor_kg(row)
        boiled_j = (gas_kg - self._gas_kg) * (row.h_v - row.h_l)
        self._gas_kg = gas_kg
        gained_j = added_kg * (charging.h - row.h_l) - boiled_j
        gained_j += _AIR_W_K_TON * self._tons * (air_k - self.t_k) * dt_s
        heat_j_k = _METAL_J_K_TON * self._tons + LIQUID_J_KGK * self.mass_kg
        self.t_k += gained_j / heat_j_k
        self.p_pa = self._pressure()
        share = dt_s / self._meet_s
        self.low_pa += (self.p_pa - self.low_pa) * share
        self.high_pa += (self.p_pa - self.high_pa) * share

    def _vapor_kg(self, row: Saturation) -> float:
        if self.mass_kg <= self.volume_m3 * row.rho_v:
            return self.mass_kg
        free_m3 = self.volume_m3 - self.mass_kg / row.rho_l
        return max(free_m3 / (1 / row.rho_v - 1 / row.rho_l), 0.0)

    def _pressure(self) -> float:
        """Give the pressure: saturation, or that of gas alone [Pa absolute]."""
        table = self._design.table
        row = table.at_bubble(self.t_k)
        rho = self.mass_kg / self.volume_m3
        if rho >= row.rho_v:
            return row.p_pa
        # Gas thinner than saturated: the power law of the table's rows, and below
        # the lowest row the ideal-gas law from there down.
        p_pa = row.p_pa * rho / row.rho_v
        for _ in range(_ROUNDS):
            at = table.at_p(max(p_pa, table.lowest_pa))
            per_pa = at.rho_v * (at.t_dew_k / self.t_k) ** at.n / at.p_pa
            p_pa = rho / per_pa
        return min(p_pa, row.p_pa)

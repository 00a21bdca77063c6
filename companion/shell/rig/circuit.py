"""The running unit: coil, suction side, condenser and metering, one step at a time.

Explicit steps of a tenth of a second. Every flow is worked out once and taken from
one store and given to another, so mass is kept to rounding.
"""

from typing import NamedTuple

from companion.shell.rig.air import Surroundings
from companion.shell.rig.coil import Coil
from companion.shell.rig.condenser import Condenser, HighSide
from companion.shell.rig.cylinder import Flow
from companion.shell.rig.design import Design
from companion.shell.rig.metering import Metering
from companion.shell.rig.standing import Standing
from companion.shell.rig.suction import Drawn, SuctionSide
from companion.shell.rig.tables import Saturation


class Moment(NamedTuple):
    """What one step found: both pressures, the flows and the heat."""

    low: Saturation
    high: HighSide
    drawn: Drawn
    fed_kg_s: float
    cooling_w: float


class Circuit:
    """The refrigerant circuit with its compressor on."""

    __slots__ = ("coil", "condenser", "design", "metering", "suction")

    def __init__(
        self,
        design: Design,
        coil: Coil,
        suction: SuctionSide,
        condenser: Condenser,
        metering: Metering,
    ) -> None:
        self.design = design
        self.coil = coil
        self.suction = suction
        self.condenser = condenser
        self.metering = metering

    @property
    def mass_kg(self) -> float:
        """Everything the circuit holds."""
        return self.coil.liquid_kg + self.suction.mass_kg + self.condenser.mass_kg

    def step(self, dt_s: float, air: Surroundings, charging: Flow) -> Moment:
        """Move on by ``dt_s`` with so much coming in through the suction port.

        Raises
        ------
        OutOfTable
            If a pressure has left the property table; the caller stops the unit
            before that.
        """
        low = self.suction.look()
        high = self.condenser.look(air)
        fed = self.metering.flow_kg_s(high, low.p_pa, air)
        latent = low.h_v - low.h_l
        quality = min(max((high.feed_h - low.h_l) / latent, 0.0), 1.0)
        out_k = self.coil.out_k
        boiling = self.coil.step(
            dt_s,
            air,
            low,
            liquid_in_kg_s=(1 - quality) * fed,
            flow_kg_s=fed,
        )
        flashed = 1.0
        if charging.liquid:
            flashed = min(max((charging.h - low.h_l) / latent, 0.0), 1.0)
        drawn = self.suction.step(
            dt_s,
            air,
            low,
            high.p_pa,
            vapor_in_kg_s=boiling.boiled_kg_s + quality * fed + flashed * charging.kg_s,
            liquid_in_kg_s=boiling.spilled_kg_s + (1 - flashed) * charging.kg_s,
            out_k=out_k,
        )
        self.condenser.step(
            dt_s,
            air,
            high,
            in_kg_s=drawn.vapor_kg_s + drawn.wet_kg_s,
            in_h=drawn.out_h,
            out_kg_s=fed,
        )
        self.metering.step(dt_s, out_k, low.t_dew_k)
        out_h = low.h_v + low.cp_v * max(out_k - low.t_dew_k, 0.0)
        return Moment(low, high, drawn, fed, fed * (out_h - high.feed_h))


def circuit_near_rest(design: Design, charge_kg: float, air: Surroundings) -> Circuit:
    """Make a running circuit with this charge, near where it will come to rest.

    The missing or spare charge is taken from or put into the condenser.
    """
    rating = design.rating
    low = design.table.at_middle(rating.coil_k)
    coil = Coil(
        design,
        liquid_kg=design.coil.share
        * design.coil.full_kg
        * min(charge_kg / design.charge_kg, 1.0),
        wall_k=design.coil.wall_k,
        out_k=low.t_dew_k + design.coil.superheat_k,
    )
    suction = SuctionSide(
        design,
        vapor_kg=design.suction.vapor_m3 * low.rho_v,
        port_k=low.t_dew_k + rating.superheat_k,
    )
    condenser = Condenser(
        design,
        mass_kg=charge_kg - coil.liquid_kg - suction.mass_kg,
        t_k=air.outdoor_k + rating.condensing_k - rating.outdoor_k,
        subcooling_k=rating.subcooling_k,
    )
    return Circuit(design, coil, suction, condenser, Metering(design, coil.out_k))


def circuit_at_start(design: Design, standing: Standing, air: Surroundings) -> Circuit:
    """Make the circuit of a unit about to start: liquid outdoors, vapor indoors."""
    row = design.table.at_p(standing.p_pa)
    gas_kg = design.suction.vapor_m3 * min(
        row.rho_v, standing.mass_kg / standing.volume_m3
    )
    suction = SuctionSide(design, vapor_kg=gas_kg, port_k=standing.t_k)
    condenser = Condenser(
        design,
        mass_kg=standing.mass_kg - gas_kg,
        t_k=(row.t_bub_k + row.t_dew_k) / 2,
        subcooling_k=0.0,
    )
    coil = Coil(design, liquid_kg=0.0, wall_k=air.db_k, out_k=air.db_k)
    return Circuit(design, coil, suction, condenser, Metering(design, air.db_k))

"""The air conditioner as a whole: running, standing, starting, stopping, tripping."""

from typing import NamedTuple

from companion.shell.rig.air import House, Surroundings
from companion.shell.rig.circuit import (
    Circuit,
    Moment,
    circuit_at_start,
    circuit_near_rest,
)
from companion.shell.rig.cylinder import NO_FLOW, Flow
from companion.shell.rig.design import Design
from companion.shell.rig.spec import Trip
from companion.shell.rig.standing import Standing

STEP_S = 0.1
"""The model's step [s]."""

_LOW_TRIP = 1.1  # over the lowest pressure of the table
_HIGH_TRIP = 0.985  # of the highest
_RUN_IN_S = 1800.0
_LOOK_S = 60.0
_AT_REST = (20.0, 0.01, 0.01)  # Pa, K, K in a look


class Running(NamedTuple):
    """A running circuit, what its last step found, and the house it cools."""

    circuit: Circuit
    moment: Moment
    house: House | None


class Plant:
    """One air conditioner in its surroundings."""

    def __init__(self, design: Design, air: Surroundings, charge_kg: float) -> None:
        self.design = design
        self.air = air
        self.trip: Trip = "none"
        self.slugging_index = 0.0
        self.running: Running | None = None
        self.standing = Standing(design, charge_kg, air.outdoor_k)

    @property
    def charge_kg(self) -> float:
        """What the unit holds."""
        running = self.running
        return self.standing.mass_kg if running is None else running.circuit.mass_kg

    @property
    def suction_pa(self) -> float:
        """The pressure at the suction port [Pa absolute]."""
        running = self.running
        if running is None:
            return self.standing.low_pa + self.air.foreign_pa
        return running.moment.low.p_pa

    @property
    def liquid_pa(self) -> float:
        """The pressure at the liquid port [Pa absolute]."""
        running = self.running
        if running is None:
            return self.standing.high_pa + self.air.foreign_pa
        return running.moment.high.p_pa

    @property
    def lines_k(self) -> tuple[float, float]:
        """The suction and liquid line's temperatures at the service ports [K]."""
        running = self.running
        if running is None:
            return self.air.outdoor_k, self.standing.t_k
        condenser = running.circuit.condenser
        liquid_k = running.moment.high.row.t_bub_k - condenser.subcooling_k
        return running.circuit.suction.port_k, liquid_k

    def run_in(self) -> None:
        """Start run in: at rest in this air, with the house in balance."""
        circuit = circuit_near_rest(self.design, self.charge_kg, self.air)
        self.running = _begin(circuit, self.air)
        before = (0.0, 0.0, 0.0)
        for _ in range(int(_RUN_IN_S * self.design.slow / _LOOK_S)):
            for _ in range(int(_LOOK_S / STEP_S)):
                self.step(STEP_S, NO_FLOW)
            now = (self.suction_pa, *self.lines_k)
            moved = zip(now, before, _AT_REST, strict=True)
            if all(abs(a - b) < small for a, b, small in moved):
                break
            before = now
        self.slugging_index = 0.0
        self._balance_house()

    def start(self) -> None:
        """Start the compressor; the pressures are taken as met.

        The house is not followed: it was out of balance before.
        """
        if self.running is not None:
            return
        if self.standing.p_pa < _LOW_TRIP * self.design.table.lowest_pa:
            self.trip = "low-pressure"
            return
        self.trip = "none"
        circuit = circuit_at_start(self.design, self.standing, self.air)
        self.running = _begin(circuit, self.air)

    def stop(self) -> None:
        """Stop the compressor; the pressures begin to meet."""
        if self.running is None:
            return
        moment = self.running.moment
        self.standing = Standing(
            self.design,
            self.charge_kg,
            self.air.outdoor_k,
            apart_pa=(moment.low.p_pa, moment.high.row.p_pa),
        )
        self.running = None

    def step(self, dt_s: float, charging: Flow) -> None:
        """Move on by ``dt_s`` with so much coming in."""
        if self.running is None:
            self.standing.step(dt_s, self.air.outdoor_k, charging)
            return
        circuit, _, house = self.running
        moment = circuit.step(dt_s, self.air, charging)
        self.running = Running(circuit, moment, house)
        self.slugging_index += max(moment.drawn.wetness - 0.05, 0.0) / 0.10 * dt_s
        if house is not None:
            house.step(dt_s, moment.cooling_w, self.air)
        self._watch(moment)

    def _watch(self, moment: Moment) -> None:
        """Stop the unit before a pressure leaves the property table."""
        table = self.design.table
        if moment.high.row.p_pa > _HIGH_TRIP * table.highest_pa:
            self.trip = "high-pressure"
        elif moment.low.p_pa < _LOW_TRIP * table.lowest_pa:
            self.trip = "low-pressure"
        else:
            return
        self.stop()

    def _balance_house(self) -> None:
        if self.running is None:
            return
        traits = self.design.traits
        house = House(
            db_k=self.air.db_k,
            wb_k=self.air.wb_k,
            start_w=self.running.moment.cooling_w,
            nominal_w=self.design.cooling_w,
            drop_k=traits.house_k,
            lag_s=traits.house_s,
        )
        self.running = self.running._replace(house=house)


def _begin(circuit: Circuit, air: Surroundings) -> Running:
    return Running(circuit, circuit.step(0.0, air, NO_FLOW), None)

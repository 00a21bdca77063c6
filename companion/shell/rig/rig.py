"""The rig: a unit, a cylinder and a hose that a rehearsal can turn valves on.

It is driven from outside in seconds and steps by tenths. What a technician does takes
effect at the next step. Nothing here reads a clock or draws a number after the start,
so the same spec and the same acts always give the same readings.
"""

import math

from companion.shell.rig.air import Surroundings
from companion.shell.rig.cylinder import NO_FLOW, Cylinder, Hose
from companion.shell.rig.errors import RigError
from companion.shell.rig.onset import Onset
from companion.shell.rig.openings import OpeningLog
from companion.shell.rig.plant import STEP_S, Plant
from companion.shell.rig.sizing import size
from companion.shell.rig.spec import Gauges, Nameplate, Opening, RigSpec, Truth
from companion.shell.rig.units import (
    FT_PER_M,
    KG_PER_OZ,
    PA_PER_PSI,
    f_from_k,
    k_from_f,
    psig_from_pa,
)

QUIET_STEPS = 2
"""While nothing flows and nothing has lately, so many steps are taken as one."""
QUIET_AFTER = 400
"""Steps after the last flow before that [0.1 s]."""
LEAST_FLOW_KG_S = 1e-7
"""Less flow than this out of a hose is none."""
_CLAMP_LAG_S = 12.0
_HOSE_DROP_KG_S = 0.020  # the flow at which the hose costs the gauge its full figure


class Rig:
    """One simulated job site.

    The charging hose feeds the suction port of a running unit and the liquid port
    of one that is off; the gauge of that side sits upstream of the hose. The
    cylinder stands at first the way that gives liquid, its own valve open.

    Parameters
    ----------
    spec
        What to build. A running unit starts run in: at rest in its weather, with
        the faults that set in at 0 already there.

    Raises
    ------
    RigError
        If the unit cannot be sized for what the spec asks.
    """

    def __init__(self, spec: RigSpec) -> None:
        design = size(spec)
        outdoor_k = k_from_f(spec.outdoor_f)
        air = Surroundings(
            outdoor_k=outdoor_k,
            db_k=k_from_f(spec.return_db_f),
            wb_k=k_from_f(spec.return_wb_f),
        )
        self.spec = spec
        self._cylinder = Cylinder(
            design.table,
            net_kg=spec.cylinder_net_kg,
            tare_kg=spec.cylinder_tare_kg,
            dip_tube=spec.cylinder_dip_tube,
            t_k=outdoor_k,
        )
        self._hose = Hose(design.traits.hose_s)
        self._onset = Onset(spec.faults)
        self._onset.apply(0.0, air, self._cylinder)
        self._plant = Plant(design, air, spec.charge_fraction * design.charge_kg)
        if spec.running:
            self._plant.run_in()
        self._log = OpeningLog()
        self._steps = 0
        self._flowed = 0
        self._now = 0.0
        self._opening = 0.0
        self._arriving = NO_FLOW
        self._fed_kg = 0.0
        self._clamps_k = self._plant.lines_k

    @property
    def now(self) -> float:
        """Seconds since the start."""
        return self._now

    @property
    def nameplate(self) -> Nameplate:
        """What the nameplate says."""
        design = self._plant.design
        valve = design.metering.thermostatic
        return Nameplate(
            refrigerant=self.spec.refrigerant,
            metering=self.spec.metering,
            factory_charge_oz=round(design.charge_kg / KG_PER_OZ, 1),
            line_set_ft=round(design.traits.line_m * FT_PER_M, 1),
            target_subcooling_f=design.rating.subcooling_k * 1.8 if valve else None,
        )

    @property
    def openings(self) -> tuple[Opening, ...]:
        """Every opening of the charging valve so far, in order."""
        return self._log.openings

    def advance(self, seconds: float) -> None:
        """Let time pass.

        Raises
        ------
        RigError
            If ``seconds`` is negative or not a finite number.
        """
        if not (math.isfinite(seconds) and seconds >= 0):
            raise RigError(f"a rig cannot advance by {seconds} s; give 0 or more")
        self._now += seconds
        due = math.floor(self._now / STEP_S + 1e-6)
        while self._steps < due:
            count = QUIET_STEPS if self._quiet() else 1
            if self._steps + count > due:
                return  # goes on in one larger step, when its time has come
            self._step(count)

    def _catch_up(self) -> None:
        """Step up to now, before something changes."""
        due = math.floor(self._now / STEP_S + 1e-6)
        while self._steps < due:
            self._step(1)

    def _quiet(self) -> bool:
        """Tell whether nothing flows and nothing has for a while: larger steps do."""
        still = self._opening == 0 and self._onset.passing == 0
        return (
            still
            and self._steps % QUIET_STEPS == 0
            and self._steps - self._flowed > QUIET_AFTER
        )

    def turn_valve(self, opening: float) -> None:
        """Set the charging valve at the manifold, 0 (shut) to 1 (full).

        Raises
        ------
        RigError
            If the opening is outside 0 to 1.
        """
        if not 0 <= opening <= 1:
            raise RigError(f"a valve opening of {opening} is outside 0 to 1")
        self._catch_up()
        if (opening > 0) != (self._opening > 0):
            self._log.turned(self._now, self._suction_psig(), is_open=opening > 0)
        self._opening = opening

    def set_cylinder_valve(self, open_: bool) -> None:
        """Open or shut the cylinder's own valve."""
        self._cylinder.valve_open = open_

    def place_cylinder(self, inverted: bool) -> None:
        """Stand the cylinder inverted or upright."""
        self._cylinder.inverted = inverted

    def warm_cylinder(self, on: bool) -> None:
        """Put the cylinder into a bath of warm water, or take it out."""
        self._cylinder.in_bath = on

    def start_unit(self) -> None:
        """Start the unit; one with too little in it trips on low pressure."""
        self._plant.start()

    def stop_unit(self) -> None:
        """Stop the unit; its pressures begin to meet."""
        self._plant.stop()

    def gauges(self) -> Gauges:
        """Read every instrument as it is, without a reader's errors."""
        air = self._plant.air
        liquid_pa = self._plant.liquid_pa
        if self._plant.running is None:
            liquid_pa += self._hose_drop_pa()
        scale_kg = self.spec.cylinder_tare_kg + self._cylinder.net_kg
        return Gauges(
            suction_psig=self._suction_psig(),
            liquid_psig=psig_from_pa(liquid_pa),
            suction_line_f=f_from_k(self._clamps_k[0]),
            liquid_line_f=f_from_k(self._clamps_k[1]),
            outdoor_f=f_from_k(air.outdoor_k),
            return_db_f=f_from_k(air.db_k),
            return_wb_f=f_from_k(air.wb_k),
            scale_oz=scale_kg / KG_PER_OZ,
        )

    def truth(self) -> Truth:
        """Tell what is so."""
        plant, running = self._plant, self._plant.running
        moment = None if running is None else running.moment
        superheat_f = subcooling_f = None
        if running is not None:
            port_k = running.circuit.suction.port_k
            superheat_f = (port_k - running.moment.low.t_dew_k) * 1.8
            subcooling_f = running.circuit.condenser.subcooling_k * 1.8
        return Truth(
            running=running is not None,
            trip=plant.trip,
            charge_kg=plant.charge_kg,
            full_charge_kg=plant.design.charge_kg,
            fed_kg=self._fed_kg,
            hose_kg=self._hose.kg,
            cylinder_net_kg=self._cylinder.net_kg,
            cylinder_f=f_from_k(self._cylinder.t_k),
            suction_psig_port=psig_from_pa(plant.suction_pa),
            liquid_psig=psig_from_pa(plant.liquid_pa),
            superheat_f=superheat_f,
            subcooling_f=subcooling_f,
            valve_opening=self._opening,
            flow_g_s=self._arriving.kg_s * 1000,
            wetness=0.0 if moment is None else moment.drawn.wetness,
            slugging_index=plant.slugging_index,
            cooling_w=0.0 if moment is None else moment.cooling_w,
            power_w=0.0 if moment is None else moment.drawn.power_w,
        )

    def _hose_drop_pa(self) -> float:
        hose_psi = self._plant.design.traits.gauge_psi
        return hose_psi * PA_PER_PSI * (self._arriving.kg_s / _HOSE_DROP_KG_S) ** 2

    def _suction_psig(self) -> float:
        pa = self._plant.suction_pa
        if self._plant.running is not None:
            pa += self._hose_drop_pa()
        return psig_from_pa(pa)

    def _step(self, count: int) -> None:
        plant, cylinder = self._plant, self._cylinder
        self._steps += count
        now_s, dt_s = self._steps * STEP_S, count * STEP_S
        self._onset.apply(now_s, plant.air, cylinder)
        opening = max(self._opening, self._onset.passing)
        drawn = NO_FLOW
        if opening > 0:
            drawn = cylinder.flow(opening, plant.suction_pa, dt_s)
        cylinder.step(dt_s, drawn, plant.air.outdoor_k)
        self._arriving = self._hose.step(dt_s, drawn)
        if max(drawn.kg_s, self._arriving.kg_s) > LEAST_FLOW_KG_S:
            self._flowed = self._steps
        self._fed_kg += self._arriving.kg_s * dt_s
        plant.step(dt_s, self._arriving)
        self._follow_clamps(dt_s)
        running = plant.running
        wetness = 0.0 if running is None else running.moment.drawn.wetness
        self._log.seen(now_s, self._suction_psig(), drawn.kg_s * dt_s, wetness)

    def _follow_clamps(self, dt_s: float) -> None:
        share = dt_s / (_CLAMP_LAG_S * self.spec.slow)
        suction_k, liquid_k = self._clamps_k
        line_k, tube_k = self._plant.lines_k
        self._clamps_k = (
            suction_k + (line_k - suction_k) * share,
            liquid_k + (tube_k - liquid_k) * share,
        )

"""What a rig is asked to be, and what can be read from it."""

from dataclasses import dataclass, field
from typing import Literal

from companion.shell.rig.errors import RigError
from companion.shell.rig.faults import Fault
from companion.shell.rig.tables import REFRIGERANTS

Metering = Literal["fixed-orifice", "thermostatic"]
Trip = Literal["none", "high-pressure", "low-pressure"]

_LEAST_RUNNING_CHARGE = 0.5
_RANGES: dict[str, tuple[float, float]] = {
    "tons": (1.5, 5.0),
    "charge_fraction": (0.0, 1.4),
    "outdoor_f": (60.0, 115.0),
    "return_db_f": (68.0, 90.0),
    "return_wb_f": (55.0, 76.0),
    "cylinder_net_kg": (0.0, 25.0),
    "cylinder_tare_kg": (1.0, 20.0),
    "slow": (0.25, 10.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RigSpec:
    """One simulated unit in one weather, with one cylinder.

    Parameters
    ----------
    refrigerant
        ASHRAE designation, one of :data:`~companion.shell.rig.tables.REFRIGERANTS`.
    metering
        What feeds the indoor coil.
    tons
        Cooling capacity at the rating point, 1.5 to 5 refrigeration tons.
    charge_fraction
        Charge at the start over the right charge, 0 (evacuated) to 1.4. A full or
        overcharged unit is one with 1.0 or more. A running one needs 0.5.
    outdoor_f, return_db_f, return_wb_f
        Outdoor air 60 to 115 F, return air dry bulb 68 to 90 F and wet bulb 55 to
        76 F; the wet bulb stays below the dry bulb.
    running
        True: already run in at the start. False: off, pressures equal.
    cylinder_net_kg, cylinder_tare_kg
        Refrigerant in the cylinder, 0 to 25 kg, and its empty weight, 1 to 20 kg.
    cylinder_dip_tube
        True: liquid comes out upright, vapor inverted. False: the other way round.
    seed
        Draws everything that differs between two units of the same description.
    faults
        What goes wrong, and when.
    slow
        Multiplies every thermal lag of the plant; 1 is the plain model.
    superheat_at_full_f, subcooling_at_full_f
        If either is given, the unit is rated in its own weather and reads this at
        the suction port (2 to 40 F) or liquid line (2 to 25 F) with the right
        charge. Otherwise the rating point is 95 F outdoors and 80/67 F return air.

    Raises
    ------
    RigError
        If a value is outside its range; every fault is named at once.
    """

    refrigerant: str
    metering: Metering
    tons: float
    charge_fraction: float
    outdoor_f: float
    return_db_f: float
    return_wb_f: float
    running: bool
    cylinder_net_kg: float
    cylinder_tare_kg: float
    cylinder_dip_tube: bool
    seed: int
    faults: tuple[Fault, ...] = field(default=())
    slow: float = 1.0
    superheat_at_full_f: float | None = None
    subcooling_at_full_f: float | None = None

    def __post_init__(self) -> None:
        wrong = [
            f"{name} is {getattr(self, name)}, outside {low} to {high}"
            for name, (low, high) in _RANGES.items()
            if not low <= getattr(self, name) <= high
        ]
        wrong += self._odd()
        if wrong:
            raise RigError("rig: " + "; ".join(wrong))

    def _odd(self) -> list[str]:
        wrong = []
        if self.refrigerant not in REFRIGERANTS:
            known = ", ".join(REFRIGERANTS)
            wrong.append(f"no table for {self.refrigerant!r}, only for {known}")
        if self.metering not in ("fixed-orifice", "thermostatic"):
            wrong.append(f"metering {self.metering!r} is not known")
        if self.return_wb_f > self.return_db_f - 1:
            wrong.append("return_wb_f must be at least 1 F below return_db_f")
        if self.running and self.charge_fraction < _LEAST_RUNNING_CHARGE:
            wrong.append("a running unit needs a charge_fraction of 0.5 or more")
        for name, top in (("superheat_at_full_f", 40), ("subcooling_at_full_f", 25)):
            value = getattr(self, name)
            if value is not None and not 2 <= value <= top:
                wrong.append(f"{name} is {value}, outside 2 to {top}")
        return wrong


@dataclass(frozen=True, slots=True, kw_only=True)
class Nameplate:
    """What the unit's nameplate says.

    The factory charge is the right charge of this very installation: the line set
    is the length it was worked out for. A fixed-orifice unit prints no subcooling.
    """

    refrigerant: str
    metering: Metering
    factory_charge_oz: float
    line_set_ft: float
    target_subcooling_f: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauges:
    """What perfect instruments show where a technician puts them.

    Pressures in psi gauge at sea level, temperatures in F, the scale in ounces with
    the cylinder's own weight. The suction gauge sits at the manifold, upstream of
    the charging hose, so it reads high while refrigerant flows. Line clamps lag.
    """

    suction_psig: float
    liquid_psig: float
    suction_line_f: float
    liquid_line_f: float
    outdoor_f: float
    return_db_f: float
    return_wb_f: float
    scale_oz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """One opening of the charging valve, from first crack to shut.

    ``end_s`` is None while it is open. ``peak_rise_psi`` is the highest the suction
    gauge stood over its reading at the start, until half a minute after the end.
    ``fed_kg`` left the cylinder, ``wettest`` is the largest liquid share of the
    compressor's inflow (0 to 1).
    """

    start_s: float
    end_s: float | None
    start_psig: float
    peak_rise_psi: float
    fed_kg: float
    wettest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is so, whatever the instruments say.

    ``superheat_f`` and ``subcooling_f`` are at the suction port and at the condenser
    outlet, without clamp lag; they mean nothing while the unit is off and are None.
    ``slugging_index`` adds up liquid share over 5 % at the compressor, so that 1 is
    a second at 15 %: an index, not a damage limit. ``cooling_w`` and ``power_w`` are
    the coil's total cooling and the compressor's shaft power. Charge is what the
    unit holds; the hose's content belongs to neither unit nor cylinder.
    """

    running: bool
    trip: Trip
    charge_kg: float
    full_charge_kg: float
    fed_kg: float
    hose_kg: float
    cylinder_net_kg: float
    cylinder_f: float
    suction_psig_port: float
    liquid_psig: float
    superheat_f: float | None
    subcooling_f: float | None
    valve_opening: float
    flow_g_s: float
    wetness: float
    slugging_index: float
    cooling_w: float
    power_w: float

    @property
    def charge_fraction(self) -> float:
        """The charge over the right charge."""
        return self.charge_kg / self.full_charge_kg

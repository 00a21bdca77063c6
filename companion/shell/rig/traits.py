"""What differs between two units of the same description, drawn from a seed.

The ranges are chosen values for a fleet of ordinary split units, made for rehearsal;
none is a limit or a rating of a real one. Where a range has an origin, it is named.
"""

import random  # noqa: TID251  seeded rig
from dataclasses import dataclass

# Right charge of a blend over that of R-410A or R-22 in the same unit, chosen in
# proportion to liquid density; no source.
_CHARGE_FACTOR = {"R-32": 0.78, "R-454B": 0.88}


@dataclass(frozen=True, slots=True, kw_only=True)
class Traits:
    """One draw. Temperatures and differences in F, lengths in m, times in s.

    The first group describes the rating point, the second the circuit, the third
    what happens to liquid at the suction port, the fourth hose, gauge and house.
    """

    charge_kg_per_ton: float
    line_m: float
    superheat_f: float
    subcooling_f: float
    approach_f: float
    coil_f: float
    cfm_per_ton: float
    subcooled_share: float

    coil_liquid_share: float
    dry_coil_ntu: float
    flash_factor: float
    line_ntu: float
    isentropic: float
    valve_stroke: float
    valve_range_k: float

    boil_s: float
    carry_s: float
    direct_share: float
    oil_share: float
    oil_s: float

    hose_s: float
    gauge_psi: float
    house_s: float
    house_k: float


def draw_traits(seed: int, refrigerant: str, *, thermostatic: bool) -> Traits:
    """Draw the traits of a unit; the same arguments always give the same draw."""
    between = random.Random(seed).uniform  # noqa: S311  seeded rig
    return Traits(
        charge_kg_per_ton=between(0.92, 1.25) * _CHARGE_FACTOR.get(refrigerant, 1.0),
        line_m=between(5.0, 15.0),
        superheat_f=between(9.0, 12.0) if thermostatic else between(10.0, 16.0),
        subcooling_f=between(8.0, 12.0),
        approach_f=between(15.0, 24.0),
        coil_f=between(45.0, 49.0),
        cfm_per_ton=between(340.0, 430.0),
        subcooled_share=between(0.11, 0.21),
        coil_liquid_share=between(0.15, 0.22),
        dry_coil_ntu=between(2.5, 4.0),
        flash_factor=between(0.60, 0.78),
        line_ntu=between(0.04, 0.08),
        isentropic=between(0.60, 0.70),
        valve_stroke=between(0.65, 0.80),
        valve_range_k=between(4.5, 6.5),
        boil_s=between(1.5, 3.0),
        carry_s=between(1.2, 2.2),
        direct_share=between(0.20, 0.40),
        oil_share=between(0.05, 0.20),
        oil_s=between(150.0, 400.0),
        hose_s=between(1.2, 2.5),
        gauge_psi=between(2.5, 6.0),
        house_s=between(1500.0, 4000.0),
        house_k=between(1.5, 3.0),
    )

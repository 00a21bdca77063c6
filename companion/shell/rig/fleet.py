"""Random job sites for Monte Carlo runs, the same for the same seed.

The ranges are those of an ordinary cooling season, chosen for rehearsal.
"""

import random  # noqa: TID251  seeded rig
from dataclasses import replace
from typing import Any

from companion.shell.rig.chart import Chart, chart
from companion.shell.rig.errors import RigError
from companion.shell.rig.spec import Metering, RigSpec
from companion.shell.rig.tables import REFRIGERANTS

LEAST_SUPERHEAT_F = 5.5
LEAST_SUBCOOLING_F = 4.0
_TRIES = 40
_METERINGS: tuple[Metering, ...] = ("fixed-orifice", "thermostatic")


def random_spec(seed: int, **fixed: Any) -> RigSpec:
    """Draw a running, undercharged unit in random weather.

    Parameters
    ----------
    seed
        The same seed and the same fixed fields give the same spec.
    fixed
        Fields of :class:`~companion.shell.rig.spec.RigSpec` to hold as given.

    Returns
    -------
    RigSpec
        A unit that can be charged by its readings: an orifice whose full-charge
        superheat is 5.5 F or more (below 5 F the method is not valid), a valve
        whose full-charge subcooling is 4 F or more. Others are drawn again.

    Raises
    ------
    RigError
        If a fixed field is out of range, or the fixed fields leave no such unit.

    References
    ----------
    California Energy Commission, Reference Residential Appendix RA3.2 (2008): a
    superheat target below 5 F makes the superheat test invalid.
    """
    draw = random.Random(f"fleet {seed}")  # noqa: S311  seeded rig
    for _ in range(_TRIES):
        spec = replace(_draw(draw, seed), **fixed)
        if _chargeable(spec):
            return spec
    raise RigError(f"no unit that can be charged by its readings has {fixed}")


def _draw(draw: random.Random, seed: int) -> RigSpec:
    return RigSpec(
        refrigerant=draw.choice(REFRIGERANTS),
        metering=draw.choice(_METERINGS),
        tons=draw.randint(3, 10) / 2,
        charge_fraction=draw.uniform(0.60, 0.95),
        outdoor_f=draw.uniform(65.0, 110.0),
        return_db_f=draw.uniform(73.0, 82.0),
        return_wb_f=draw.uniform(60.0, 69.0),
        running=True,
        cylinder_net_kg=draw.uniform(5.0, 11.0),
        cylinder_tare_kg=draw.uniform(3.0, 7.0),
        cylinder_dip_tube=draw.random() < 0.3,
        seed=seed,
    )


def _chargeable(spec: RigSpec) -> bool:
    found = _chart_or_none(spec)
    if found is None:
        return False
    if spec.metering == "fixed-orifice":
        return found.superheat_f >= LEAST_SUPERHEAT_F
    return found.subcooling_f >= LEAST_SUBCOOLING_F


def _chart_or_none(spec: RigSpec) -> Chart | None:
    """Give the chart, or None for a unit that trips even when rightly charged."""
    try:
        return chart(spec)
    except RigError:
        return None

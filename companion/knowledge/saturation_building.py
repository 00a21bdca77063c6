"""Make the text of ``saturation.json``: every curve walked degree by degree.

The walk starts cold and goes both ways in 1 K steps; a curve ends where no state
follows, a few kelvin below the critical point of a blend. See ``coolprop_properties``
for why each state is started from the last.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from companion.knowledge.catalogue import Catalogue
from companion.knowledge.coolprop_properties import (
    CoolPropEquilibrium,
    apply_remedies,
    library,
)
from companion.knowledge.equilibrium import EquilibriumError, Quality, mole_fractions
from companion.knowledge.errors import CompanionError
from companion.knowledge.mixture_pairs import PairRemedy
from companion.knowledge.quantities import K_AT_0_C

LOWEST_C, HIGHEST_C = -60, 70  # from below the normal points to a hot condenser
NODE_STEP_C = 5  # 0.002 % in pressure between nodes
CLOSE_C = 8  # nodes 1 K apart at the hot end, where a near critical point bends it
DIGITS = 8
# About 10 K beyond the normal point, where that lies outside the usual range.
_BELOW_PA, _ABOVE_PA = 60e3, 150e3
_CURVE_QUALITY: Mapping[str, Quality] = {"bubble": 0, "dew": 1}


class TableBuildError(CompanionError, RuntimeError):
    """A saturation table could not be made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """A saturation curve: pressure [Pa] by temperature [degC], and why it ended."""

    pressures: Mapping[int, float]
    at_critical: bool


def build_saturation_table(
    catalogue: Catalogue,
    remedies: Sequence[PairRemedy],
    designations: Sequence[str] | None = None,
) -> str:
    """Make the text of ``saturation.json``.

    Parameters
    ----------
    catalogue
        Make-up of the refrigerants.
    remedies
        Stand-ins for missing pairs.
    designations
        Which to tabulate; all of the catalogue if not given.

    Returns
    -------
    str
        JSON with the library's version, the method, the pairs that were put in, and
        for each refrigerant its nodes [degC] and pressures [Pa].

    Raises
    ------
    TableBuildError
        If a curve cannot be computed over a useful range.
    """
    put_in = apply_remedies(remedies)
    make_ups: dict[str, Mapping[str, float]] = {
        each.designation: each.mass_pct for each in catalogue.refrigerants
    }
    make_ups |= {name: {name: 100.0} for name in catalogue.fluids}
    rows = ",\n".join(
        f'"{name}": {json.dumps(_row(name, make_up), separators=(",", ":"))}'
        for name, make_up in make_ups.items()
        if designations is None or name in designations
    )
    head = {
        "made_with": f"CoolProp {library().get_global_param_string('version')}",
        "method": "Helmholtz equations of state, blends from mass percent, each curve "
        "walked from a cold start in 1 K steps",
        "pairs": put_in,
    }
    body = json.dumps(head, indent=1).removesuffix("\n}")
    return f'{body},\n "tables": {{\n{rows}\n}}}}\n'


def _row(
    designation: str, mass_pct: Mapping[str, float]
) -> dict[str, list[float] | bool]:
    """Tabulate one refrigerant at its nodes."""
    curves = {
        name: walk_curve(designation, mass_pct, quality)
        for name, quality in _CURVE_QUALITY.items()
        if name == "bubble" or len(mass_pct) > 1
    }
    low = max(min(curve.pressures) for curve in curves.values())
    top = min(max(curve.pressures) for curve in curves.values())
    critical = any(curve.at_critical for curve in curves.values())
    nodes = [*range(low, top - CLOSE_C, NODE_STEP_C), *range(top - CLOSE_C, top + 1)]
    row: dict[str, list[float] | bool] = {"nodes_c": [float(node) for node in nodes]}
    if critical:
        row["ends_at_critical"] = True
    for name, curve in curves.items():
        row[f"{name}_pa"] = [_rounded(curve.pressures[node]) for node in nodes]
    return row


def _rounded(pressure_pa: float) -> float:
    digits = DIGITS - 1 - math.floor(math.log10(pressure_pa))
    return round(pressure_pa, digits)


def walk_curve(
    designation: str, mass_pct: Mapping[str, float], quality: Quality
) -> Walked:
    """Compute a saturation curve degree by degree.

    Parameters
    ----------
    designation, mass_pct
        What to compute.
    quality
        0 for the bubble curve, 1 for the dew curve.

    Returns
    -------
    Walked
        Without gaps, from -60 degC to 70 degC or to where the curve ends; further
        where the normal point lies outside that.

    Raises
    ------
    TableBuildError
        If no start is found.
    """
    try:
        equilibrium = CoolPropEquilibrium(designation, list(mass_pct))
        make_up = mole_fractions(list(mass_pct.values()), equilibrium.molar_masses)
        frozen = math.ceil(equilibrium.lowest_k() - K_AT_0_C)
        start = max(0, frozen) if len(mass_pct) == 1 else 0
        curve = {start: _pressure(equilibrium, quality, make_up, start)}
    except EquilibriumError as error:
        raise TableBuildError(str(error)) from error

    def walk(step: int, celsius: int) -> bool:
        """Walk to the end of the range; False if the curve ends before it."""
        while not _far_enough(celsius, curve[celsius], step):
            celsius += step
            if len(mass_pct) == 1 and celsius < frozen:
                return False
            try:
                curve[celsius] = _pressure(equilibrium, quality, make_up, celsius)
            except EquilibriumError:
                return False
        return True

    walk(-1, start)
    # Walk up from the start again, not from the cold end.
    _pressure(equilibrium, quality, make_up, start)
    at_critical = not walk(1, start)
    return Walked(pressures=curve, at_critical=at_critical)


def _far_enough(celsius: int, pressure_pa: float, step: int) -> bool:
    if step < 0:
        return celsius <= LOWEST_C and pressure_pa < _BELOW_PA
    return celsius >= HIGHEST_C and pressure_pa > _ABOVE_PA


def _pressure(
    equilibrium: CoolPropEquilibrium,
    quality: Quality,
    make_up: tuple[float, ...],
    celsius: int,
) -> float:
    return equilibrium.saturated(quality, make_up, celsius + K_AT_0_C).pressure_pa

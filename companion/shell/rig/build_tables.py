"""Make the rig's property tables; run by hand when CoolProp or the list changes.

``python -m companion.shell.rig.build_tables`` writes one text file a refrigerant
into the rig's ``data`` folder. Each file holds 260 rows at pressures evenly spaced
in logarithm, from 0.5 bar to the pressure whose bubble point is the top temperature.
The rig reads the files and never calls CoolProp.

Mixture saturation is walked upward in small steps of pressure, each flash started
from the solution before it: flashes started afresh raise or stray at single points
well inside the working range. Every row is checked before a file is written.

References
----------
Bell, I.H., Wronski, J., Quoilin, S., Lemort, V.: Pure and Pseudo-pure Fluid
Thermophysical Property Evaluation and the Open-Source Thermophysical Property
Library CoolProp. Industrial & Engineering Chemistry Research 53 (2014) 2498-2508.
"""

import itertools
import math
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROWS = 260
BOTTOM_PA = 5e4
SUPERHEAT_FOR_FIT_K = 15.0  # the gas meets superheats of about this size
COLUMNS = "p_pa t_bub_k t_dew_k rho_l rho_v h_l h_v cp_v k n"
UNITS = "Pa K K kg/m3 kg/m3 J/kg J/kg J/kgK 1 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One refrigerant to tabulate.

    ``fluid`` is CoolProp's name; ``top_c`` the highest bubble point [degC], chosen
    some kelvin below the critical point so that every flash converges.
    """

    designation: str
    fluid: str
    top_c: float


WANTED = (
    Wanted(designation="R-22", fluid="R22", top_c=67.0),
    Wanted(designation="R-32", fluid="R32", top_c=67.0),
    Wanted(designation="R-134a", fluid="R134a", top_c=67.0),
    Wanted(designation="R-407C", fluid="R407C.mix", top_c=65.0),
    Wanted(designation="R-410A", fluid="R410A.mix", top_c=67.0),
    Wanted(designation="R-454B", fluid="R454B.mix", top_c=67.0),
)


class Walk:
    """Saturation of one refrigerant, walked upward in pressure from the bottom."""

    def __init__(self, coolprop: Any, fluid: str, quality: float) -> None:
        self._lib = coolprop
        self._quality = quality
        self._mixture = fluid.endswith(".mix")
        self._flash = coolprop.AbstractState("HEOS", fluid)
        self._guess: Any = None

    def at(self, p_pa: float, *, halvings: int = 6) -> tuple[float, float]:
        """Give temperature [K] and molar density [mol/m3] of the saturated phase.

        A flash that does not converge is tried again from half the distance, at
        most ``halvings`` times.

        Raises
        ------
        ValueError
            CoolProp's own, if no halving helped.
        """
        try:
            return self._step(p_pa)
        except ValueError:
            if halvings == 0 or self._guess is None:
                raise
        self.at(math.sqrt(p_pa * self._guess.p), halvings=halvings - 1)
        return self.at(p_pa, halvings=halvings - 1)

    def _step(self, p_pa: float) -> tuple[float, float]:
        lib, flash = self._lib, self._flash
        if self._guess is None:
            flash.update(lib.PQ_INPUTS, p_pa, self._quality)
        else:
            flash.update_with_guesses(lib.PQ_INPUTS, p_pa, self._quality, self._guess)
        if self._mixture:
            self._guess = self._remember()
        side = (
            flash.saturated_liquid_keyed_output
            if self._quality == 0
            else flash.saturated_vapor_keyed_output
        )
        return flash.T(), side(lib.iDmolar)

    def _remember(self) -> Any:
        flash, guess = self._flash, self._lib.CoolProp.PyGuessesStructure()
        guess.T, guess.p = flash.T(), flash.p()
        guess.rhomolar_liq = flash.saturated_liquid_keyed_output(self._lib.iDmolar)
        guess.rhomolar_vap = flash.saturated_vapor_keyed_output(self._lib.iDmolar)
        guess.x = flash.mole_fractions_liquid()
        guess.y = flash.mole_fractions_vapor()
        return guess


def _grid(top_pa: float) -> list[float]:
    span = math.log(top_pa / BOTTOM_PA)
    return [BOTTOM_PA * math.exp(span * i / (ROWS - 1)) for i in range(ROWS)]


def _top_pressure(coolprop: Any, wanted: Wanted) -> float:
    """Find the pressure [Pa] whose bubble point is the top temperature."""
    target = wanted.top_c + 273.15
    walk = Walk(coolprop, wanted.fluid, 0.0)
    ln_p, ln_step, before = math.log(BOTTOM_PA), 0.02, 0.0
    while (found := walk.at(math.exp(ln_p))[0]) < target:
        ln_p, before = ln_p + ln_step, found
    return math.exp(ln_p - ln_step * (found - target) / (found - before))


def _liquid(coolprop: Any, state: Any, t_k: float, molar: float) -> list[float]:
    state.update(coolprop.DmolarT_INPUTS, molar, t_k)
    return [state.rhomass(), state.hmass()]


def _vapor(
    coolprop: Any, state: Any, p_pa: float, t_k: float, molar: float
) -> list[float]:
    state.update(coolprop.DmolarT_INPUTS, molar, t_k)
    rho, enthalpy, cp = state.rhomass(), state.hmass(), state.cpmass()
    exponent = rho * state.speed_sound() ** 2 / p_pa
    warm = t_k + SUPERHEAT_FOR_FIT_K
    state.update(coolprop.PT_INPUTS, p_pa, warm)
    thinning = math.log(rho / state.rhomass()) / math.log(warm / t_k)
    return [rho, enthalpy, cp, exponent, thinning]


def rows_of(coolprop: Any, wanted: Wanted) -> list[list[float]]:
    """Tabulate one refrigerant: rows in the order of ``COLUMNS``, SI units.

    Raises
    ------
    ValueError
        If a flash does not converge or a row breaks the checks.
    """
    bubble = Walk(coolprop, wanted.fluid, 0.0)
    dew = Walk(coolprop, wanted.fluid, 1.0)
    liquid = coolprop.AbstractState("HEOS", wanted.fluid)
    liquid.specify_phase(coolprop.iphase_liquid)
    vapor = coolprop.AbstractState("HEOS", wanted.fluid)
    vapor.specify_phase(coolprop.iphase_gas)
    rows = []
    for p_pa in _grid(_top_pressure(coolprop, wanted)):
        t_bub, molar_l = bubble.at(p_pa)
        t_dew, molar_v = dew.at(p_pa)
        rho_l, h_l = _liquid(coolprop, liquid, t_bub, molar_l)
        rho_v, h_v, cp_v, k, n = _vapor(coolprop, vapor, p_pa, t_dew, molar_v)
        rows.append([p_pa, t_bub, t_dew, rho_l, rho_v, h_l, h_v, cp_v, k, n])
    check_rows(wanted.designation, rows)
    return rows


def check_rows(designation: str, rows: list[list[float]]) -> None:
    """Refuse rows that do not run smoothly or break physical order.

    Raises
    ------
    ValueError
        Naming the refrigerant and the row: a temperature that does not rise, a
        step that differs from its neighbour by more than a tenth (a stray flash),
        a bubble point above the dew point, or a vapor denser than its liquid.
    """
    for i, row in enumerate(rows):
        if row[1] > row[2] + 1e-6 or row[3] <= row[4] or row[5] >= row[6]:
            raise ValueError(f"{designation} row {i}: phases out of order: {row}")
    for column in (1, 2):
        steps = [b[column] - a[column] for a, b in itertools.pairwise(rows)]
        for i, (a, b) in enumerate(itertools.pairwise(steps)):
            if a <= 0 or abs(b - a) > 0.1 * a:
                raise ValueError(f"{designation} row {i}: temperature steps {a}, {b}")


def render(wanted: Wanted, rows: list[list[float]], version: str) -> str:
    """Write the table as text: comment lines, then one row a line."""
    head = [
        f"# {wanted.designation} saturation, at the standard composition",
        f"# CoolProp {version}, HEOS, {wanted.fluid}; enthalpies against its own zero",
        "# k = rho a^2 / p of saturated vapor; n = -d ln rho / d ln T over 15 K of superheat",
        f"# {COLUMNS}",
        f"# {UNITS}",
    ]
    body = [" ".join(f"{value:.7g}" for value in row) for row in rows]
    return "\n".join(head + body) + "\n"


def main() -> None:
    """Write every table into the rig's data folder."""
    # The superancillaries cost two seconds at import and change no figure here.
    os.environ.setdefault("COOLPROP_DISABLE_SUPERANCILLARIES_ENTIRELY", "1")
    import CoolProp  # only this command needs it

    folder = Path(__file__).parent / "data"
    folder.mkdir(exist_ok=True)
    for wanted in WANTED:
        rows = rows_of(CoolProp, wanted)
        path = folder / f"{wanted.designation}.txt"
        path.write_text(render(wanted, rows, CoolProp.__version__), encoding="utf-8")
        sys.stdout.write(
            f"{path.name}: {len(rows)} rows, {path.stat().st_size} bytes\n"
        )


if __name__ == "__main__":
    main()

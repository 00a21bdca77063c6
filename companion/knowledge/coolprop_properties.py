"""Make the saturation tables with CoolProp: the only module that imports it.

It is imported inside the functions, because its import takes seconds, and never at run
time: the program looks saturation up in the table made here.

Two things have to be put right before a blend can be computed. Some binary pairs are
missing from the library; the remedies are in ``mixture_pairs.toml``. And the library's
own start values fail inside the working range (R-410A between 41 and 45 degC, R-407C
between 55 and 60 degC, others); so the curve is walked from a cold, easy point in small
steps, each started from the last.
"""

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from companion.knowledge.catalogue import Catalogue, Refrigerant
from companion.knowledge.errors import CompanionError
from companion.knowledge.mixture_pairs import FILE as PAIRS_FILE
from companion.knowledge.mixture_pairs import PairRemedy
from companion.knowledge.quantities import K_AT_0_C

LOWEST_C, HIGHEST_C = -45, 66  # coil of a unit far short of charge; hot condenser
NODE_STEP_C = 5  # 0.002 % in pressure between nodes
DIGITS = 8
CRITICAL_MARGIN_K = 3.5  # nearer the critical point the spline exceeds 0.002 %
_STARTS_C = (0, -20, -45)  # where the library's own start values work
_CURVE_QUALITY = {"bubble": 0, "dew": 1}


class TableBuildError(CompanionError, RuntimeError):
    """A saturation table could not be made."""


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
    library = _library()
    put_in = apply_remedies(remedies)
    wanted = [
        each
        for each in catalogue.refrigerants
        if designations is None or each.designation in designations
    ]
    rows = ",\n".join(
        f'"{each.designation}": {json.dumps(_row(each), separators=(",", ":"))}'
        for each in wanted
    )
    head = {
        "made_with": f"CoolProp {library.get_global_param_string('version')}",
        "method": "Helmholtz equations of state, blends from mass percent, each curve "
        "walked from a cold start in 1 K steps",
        "pairs": put_in,
    }
    body = json.dumps(head, indent=1).removesuffix("\n}")
    return f'{body},\n "tables": {{\n{rows}\n}}}}\n'


def _library() -> Any:
    """Import the library, which takes seconds; see the module's docstring."""
    from CoolProp import CoolProp

    return CoolProp


def apply_remedies(remedies: Sequence[PairRemedy]) -> dict[str, str]:
    """Put missing pairs into the library; they hold for the whole process.

    Returns
    -------
    dict of str to str
        What was put in, in words, by pair.
    """
    library = _library()
    put_in = {}
    for each in remedies:
        # The library keeps its pairs in the order of the CAS numbers as text.
        cas = sorted(_cas(library, name) for name in (each.one, each.other))
        try:
            library.get_mixture_binary_pair_data(*cas, "gammaT")
        except ValueError:
            library.apply_simple_mixing_rule(*cas, "Lorentz-Berthelot")
        library.set_mixture_binary_pair_data(*cas, "gammaT", each.gamma_t)
        pair = f"{each.one} with {each.other}"
        put_in[pair] = f"Lorentz-Berthelot, gammaT {each.gamma_t:g}"
    return put_in


def _cas(library: Any, designation: str) -> str:
    return str(library.get_fluid_param_string(_library_name(designation), "CAS"))


def _library_name(designation: str) -> str:
    return designation.replace("R-", "R", 1)


def _row(refrigerant: Refrigerant) -> dict[str, list[float]]:
    """Tabulate one refrigerant at its nodes."""
    curves = {
        name: walk_curve(refrigerant, quality)
        for name, quality in _CURVE_QUALITY.items()
    }
    top = min(max(curve) for curve in curves.values())
    nodes = [*range(LOWEST_C, top, NODE_STEP_C), top]
    row: dict[str, list[float]] = {"nodes_c": [float(node) for node in nodes]}
    for name, curve in curves.items():
        row[f"{name}_pa"] = [_rounded(curve[node]) for node in nodes]
    if refrigerant.kind == "single":
        del row["dew_pa"]
    return row


def _rounded(pressure_pa: float) -> float:
    digits = DIGITS - 1 - math.floor(math.log10(pressure_pa))
    return round(pressure_pa, digits)


def walk_curve(refrigerant: Refrigerant, quality: int) -> dict[int, float]:
    """Compute a saturation curve degree by degree.

    Parameters
    ----------
    refrigerant
        What to compute.
    quality
        0 for the bubble curve, 1 for the dew curve.

    Returns
    -------
    dict of int to float
        Pressure [Pa] by temperature [degC], without gaps, from -45 degC to 66 degC or
        to where the curve ends.

    Raises
    ------
    TableBuildError
        If no start is found, or the walk down does not reach -45 degC.
    """
    library = _library()
    names = [_library_name(name) for name in refrigerant.mass_pct]
    try:
        state = library.AbstractState("HEOS", "&".join(names))
    except ValueError as error:
        raise TableBuildError(
            f"{refrigerant.designation}: {error}; add the pair to {PAIRS_FILE}"
        ) from error
    if len(names) > 1:
        state.set_mass_fractions([pct / 100 for pct in refrigerant.mass_pct.values()])
        top_c = HIGHEST_C
    else:
        top_c = min(HIGHEST_C, int(state.T_critical() - CRITICAL_MARGIN_K - K_AT_0_C))
    start_c, start = _cold_start(refrigerant, state, library, quality)
    curve = {start_c: start["p"]}
    for step, last in ((-1, LOWEST_C), (1, top_c)):
        known = start
        for celsius in range(start_c + step, last + step, step):
            found = _next_state(state, library, quality, celsius + K_AT_0_C, known)
            if found is None or not _goes_on(curve, celsius, step, found["p"]):
                break
            known, curve[celsius] = found, found["p"]
    if min(curve) != LOWEST_C:
        raise TableBuildError(
            f"{refrigerant.designation}: the curve of quality {quality} could not be "
            f"followed below {min(curve)} degC; check its pairs in {PAIRS_FILE}"
        )
    return curve


def _cold_start(
    refrigerant: Refrigerant, state: Any, library: Any, quality: int
) -> tuple[int, dict[str, Any]]:
    for celsius in _STARTS_C:
        try:
            state.update(library.QT_INPUTS, quality, celsius + K_AT_0_C)
        except ValueError:
            continue
        return celsius, _snapshot(state, library)
    raise TableBuildError(
        f"{refrigerant.designation}: no saturated state found at {_STARTS_C} degC; "
        f"check its components and its pairs in {PAIRS_FILE}"
    )


def _next_state(
    state: Any, library: Any, quality: int, t_k: float, known: Mapping[str, Any]
) -> dict[str, Any] | None:
    guesses = library.PyGuessesStructure()
    for name, value in known.items():
        setattr(guesses, name, value)
    try:
        if len(known["x"]) == 1:  # the library's own starts are sound for these
            state.update(library.QT_INPUTS, quality, t_k)
        else:
            state.update_with_guesses(library.QT_INPUTS, quality, t_k, guesses)
    except ValueError:
        return None
    return _snapshot(state, library)


def _snapshot(state: Any, library: Any) -> dict[str, Any]:
    """Take from a saturated state what starts the next one."""
    return {
        "T": state.T(),
        "p": state.p(),
        "rhomolar_liq": state.saturated_liquid_keyed_output(library.iDmolar),
        "rhomolar_vap": state.saturated_vapor_keyed_output(library.iDmolar),
        "x": state.mole_fractions_liquid(),
        "y": state.mole_fractions_vapor(),
    }


def _goes_on(curve: Mapping[int, float], celsius: int, step: int, p_pa: float) -> bool:
    """Whether a point continues the curve: 1 K changes the pressure by 1 to 10 %."""
    change = step * math.log(p_pa / curve[celsius - step])
    return 0.005 < change < 0.1

"""The only module that imports CoolProp: saturated states, its traps taken care of.

It is imported inside a function, because that takes time, and never on the way to a
cue: the program looks saturation up in a shipped table. Only the table's builder and
the sums about what a cylinder or a leak does to a blend come here.

What has to be put right:

- Some binary pairs are missing; the remedies are in ``mixture_pairs.toml``.
- The library's own start values fail, or give a wrong answer without a word, inside the
  working range (R-410A between 41 and 45 degC, R-407C between 55 and 60 degC, R-463A at
  38 degC). So every state is approached from a cold, easy one in small steps, each
  started from the last and checked against it.
- Its import costs two seconds and prints a line on standard output, where the answers
  of the look-ups go, unless its superancillary equations are left out; then it prints
  another. They change no figure here.
"""

import math
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

from companion.knowledge.equilibrium import (
    EquilibriumError,
    Quality,
    Saturated,
)
from companion.knowledge.mixture_pairs import FILE as PAIRS_FILE
from companion.knowledge.mixture_pairs import PairRemedy
from companion.knowledge.quantities import K_AT_0_C

STEP_K = 2.0
STEP_SHARE = 0.05  # mole fraction; as far as start values of the last state carry
HALVINGS = 16
_SWITCH = "COOLPROP_DISABLE_SUPERANCILLARIES_ENTIRELY"
_STARTS_C = (0, -20, -45)  # where the library's own start values work
_STDOUT = 1
_OTHER_NAMES = {"R-1224yd(Z)": "R1224YDZ"}


def library() -> Any:
    """Import the library, quietly; see the module's docstring."""
    if "CoolProp.CoolProp" not in sys.modules:
        os.environ.setdefault(_SWITCH, "1")
        with _stdout_aside():
            from CoolProp import CoolProp
    from CoolProp import CoolProp

    return CoolProp


@contextmanager
def _stdout_aside() -> Iterator[None]:
    """Send what C++ writes on standard output nowhere for a while."""
    with suppress(OSError, ValueError, AttributeError):  # closed or replaced: no matter
        sys.stdout.flush()
    try:
        kept = os.dup(_STDOUT)
    except OSError:  # there is no standard output
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, _STDOUT)
    try:
        yield
    finally:
        os.dup2(kept, _STDOUT)
        os.close(kept)
        os.close(nowhere)


def apply_remedies(remedies: Sequence[PairRemedy]) -> dict[str, str]:
    """Put missing pairs into the library; they hold for the whole process.

    Returns
    -------
    dict of str to str
        What was put in, in words, by pair.
    """
    lib = library()
    put_in = {}
    for each in remedies:
        # The library keeps its pairs in the order of the CAS numbers as text.
        cas = sorted(_cas(lib, name) for name in (each.one, each.other))
        try:
            lib.get_mixture_binary_pair_data(*cas, "gammaT")
        except ValueError:
            lib.apply_simple_mixing_rule(*cas, "Lorentz-Berthelot")
        lib.set_mixture_binary_pair_data(*cas, "gammaT", each.gamma_t)
        pair = f"{each.one} with {each.other}"
        put_in[pair] = f"Lorentz-Berthelot, gammaT {each.gamma_t:g}"
    return put_in


def _cas(lib: Any, designation: str) -> str:
    return str(lib.get_fluid_param_string(_library_name(designation), "CAS"))


def _library_name(designation: str) -> str:
    return _OTHER_NAMES.get(designation, designation.replace("R-", "R", 1))


class CoolPropEquilibrium:
    """Saturated states of one set of components, from CoolProp.

    Parameters
    ----------
    designation
        The refrigerant, for messages.
    components
        Designations of its components; the order of every make-up.

    Raises
    ------
    EquilibriumError
        If the library lacks a component or a pair of them.
    """

    def __init__(self, designation: str, components: Sequence[str]) -> None:
        self._lib = library()
        self._designation = designation
        names = [_library_name(each) for each in components]
        try:
            self._state = self._lib.AbstractState("HEOS", "&".join(names))
            self._gas = self._lib.AbstractState("HEOS", "&".join(names))
            self._molar_masses = tuple(self._lib.PropsSI("M", each) for each in names)
        except ValueError as error:
            raise EquilibriumError(
                f"{designation}: {error}; add the pair to {PAIRS_FILE}"
            ) from error
        self._gas.specify_phase(self._lib.iphase_gas)
        self._last: dict[Quality, Saturated] = {}

    @property
    def molar_masses(self) -> tuple[float, ...]:
        """Molar masses [kg/mol], in the order of the components."""
        return self._molar_masses

    def critical_k(self) -> float | None:
        """Give the critical temperature [K] of a single substance; None of a blend."""
        return self._state.T_critical() if len(self._molar_masses) == 1 else None

    def lowest_k(self) -> float:
        """Give the highest triple point [K] among the components."""
        fluids = self._state.fluid_names()
        return max(float(self._lib.PropsSI("Ttriple", each)) for each in fluids)

    def saturated(
        self, quality: Quality, make_up: Sequence[float], t_k: float
    ) -> Saturated:
        """Give the bubble or dew state of a make-up [mole fractions] at ``t_k`` [K].

        Raises
        ------
        EquilibriumError
            If there is none: near or above the critical point, or far too cold.
        """
        wanted = tuple(make_up)
        if len(wanted) == 1:
            found = self._flash(quality, wanted, t_k, None)
            if found is None:
                raise self._none_at(quality, t_k)
            return found
        last = self._last.get(quality)
        if last is None:
            last = self._cold_start(quality, wanted)
        found = self._approach(quality, last, wanted, t_k, HALVINGS)
        if found is None:
            raise self._none_at(quality, t_k)
        self._last[quality] = found
        return found

    def gas_pressure(
        self, make_up: Sequence[float], t_k: float, density: float
    ) -> float:
        """Give the pressure [Pa] of a gas of known density [mol/m3]."""
        if len(self._molar_masses) > 1:
            self._gas.set_mole_fractions(list(make_up))
        self._gas.update(self._lib.DmolarT_INPUTS, density, t_k)
        return float(self._gas.p())

    def _cold_start(self, quality: Quality, make_up: tuple[float, ...]) -> Saturated:
        for celsius in _STARTS_C:
            found = self._flash(quality, make_up, celsius + K_AT_0_C, None)
            if found is not None:
                return found
        raise EquilibriumError(
            f"{self._designation}: no saturated state found at {_STARTS_C} degC; "
            f"check its components and its pairs in {PAIRS_FILE}"
        )

    def _approach(
        self,
        quality: Quality,
        last: Saturated,
        make_up: tuple[float, ...],
        t_k: float,
        halvings: int,
    ) -> Saturated | None:
        """Reach a state from a known one, by way of the middle where it is too far."""
        start = last.liquid if quality == 0 else last.vapor
        pairs = list(zip(start, make_up, strict=True))
        change = max(abs(new - old) for old, new in pairs)
        if abs(t_k - last.t_k) <= STEP_K and change <= STEP_SHARE:
            found = self._flash(quality, make_up, t_k, last)
            if found is not None:
                return found
        if halvings == 0:
            return None
        middle = tuple((old + new) / 2 for old, new in pairs)
        middle_k = (last.t_k + t_k) / 2
        halfway = self._approach(quality, last, middle, middle_k, halvings - 1)
        if halfway is None:
            return None
        return self._approach(quality, halfway, make_up, t_k, halvings - 1)

    def _none_at(self, quality: Quality, t_k: float) -> EquilibriumError:
        curve = "bubble" if quality == 0 else "dew"
        return EquilibriumError(
            f"{self._designation}: no {curve} point at {t_k - K_AT_0_C:.1f} degC; it is "
            "near or above the critical point"
        )

    def _flash(
        self,
        quality: Quality,
        make_up: tuple[float, ...],
        t_k: float,
        last: Saturated | None,
    ) -> Saturated | None:
        try:
            if len(make_up) > 1:
                self._state.set_mole_fractions(list(make_up))
            if last is None:
                self._state.update(self._lib.QT_INPUTS, quality, t_k)
            else:
                guesses = self._guesses(quality, make_up, last)
                self._state.update_with_guesses(
                    self._lib.QT_INPUTS, quality, t_k, guesses
                )
        except ValueError:
            return None
        found = self._read(t_k)
        return found if last is None or _follows(last, found, quality) else None

    def _guesses(
        self, quality: Quality, make_up: tuple[float, ...], last: Saturated
    ) -> Any:
        guesses = self._lib.PyGuessesStructure()
        guesses.T, guesses.p = last.t_k, last.pressure_pa
        guesses.rhomolar_liq = last.liquid_density
        guesses.rhomolar_vap = last.vapor_density
        guesses.x = list(make_up if quality == 0 else last.liquid)
        guesses.y = list(last.vapor if quality == 0 else make_up)
        return guesses

    def _read(self, t_k: float) -> Saturated:
        density = self._lib.iDmolar
        return Saturated(
            t_k=t_k,
            pressure_pa=float(self._state.p()),
            liquid=tuple(self._state.mole_fractions_liquid()),
            vapor=tuple(self._state.mole_fractions_vapor()),
            liquid_density=float(self._state.saturated_liquid_keyed_output(density)),
            vapor_density=float(self._state.saturated_vapor_keyed_output(density)),
        )


def _follows(last: Saturated, found: Saturated, quality: Quality) -> bool:
    """Whether a state continues from the last: a stray solution lies far from it."""
    if not found.liquid_density > found.vapor_density:
        return False
    shares = (*found.liquid, *found.vapor)
    if not all(math.isfinite(each) and -1e-9 <= each <= 1 + 1e-9 for each in shares):
        return False
    change = math.log(found.pressure_pa / last.pressure_pa)
    step_k = found.t_k - last.t_k
    if step_k == 0 or _distance(last, found, quality) > 1e-9:
        return abs(change) < 0.4
    return 0.005 < change / step_k < 0.12  # of any curve, 1 K is worth 0.5 to 12 %


def _distance(last: Saturated, found: Saturated, quality: Quality) -> float:
    """Give how far apart two states are in the make-up that was asked for."""
    old, new = (
        (last.liquid, found.liquid) if quality == 0 else (last.vapor, found.vapor)
    )
    return max(abs(one - other) for one, other in zip(old, new, strict=True))

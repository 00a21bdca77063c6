from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.knowledge.draw_down import DrawDown, draw_down
from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import (
    EquilibriumError,
    Quality,
    Saturated,
    mass_percent,
    mole_fractions,
)
from companion.knowledge.fixed_volume import (
    Contents,
    Filling,
    LiquidFull,
    mass_of,
    settle,
)

R = 8.314462618
T_K = 298.15


@dataclass(frozen=True, slots=True, kw_only=True)
class IdealBlend:
    """Raoult's law, for one temperature: can be worked out by hand."""

    vapor_pressures: tuple[float, ...] = (16e5, 6e5)
    molar_masses: tuple[float, ...] = (0.05, 0.1)
    liquid_density: float = 12000.0

    def saturated(
        self, quality: Quality, make_up: Sequence[float], t_k: float
    ) -> Saturated:
        if t_k != T_K:
            raise EquilibriumError("only one temperature is known")
        assert quality == 0
        parts = [x * p for x, p in zip(make_up, self.vapor_pressures, strict=True)]
        pressure = sum(parts)
        return Saturated(
            t_k=t_k,
            pressure_pa=pressure,
            liquid=tuple(make_up),
            vapor=tuple(each / pressure for each in parts),
            liquid_density=self.liquid_density,
            vapor_density=pressure / (R * t_k),
        )

    def gas_pressure(
        self, make_up: Sequence[float], t_k: float, density: float
    ) -> float:
        assert sum(make_up) == pytest.approx(1)
        return density * R * t_k


BLEND = IdealBlend()


def _filling(
    mass_kg: float = 8.0, pct: tuple[float, float] = (50, 50), volume: float = 0.012
) -> Filling:
    return Filling(
        components=("A", "B"),
        mass_pct=pct,
        mass_kg=mass_kg,
        volume_m3=volume,
        t_k=T_K,
    )


def _drawn(
    filling: Filling, draw: Draw, until: float = 1.0, step: float = 0.025
) -> DrawDown:
    found = draw_down(BLEND, filling, draw, until, step)
    assert isinstance(found, DrawDown)
    return found


@given(st.floats(0.01, 0.99), st.floats(0.5, 6), st.sampled_from(["vapor", "liquid"]))
@settings(max_examples=30)
def test_mass_is_kept(share: float, mass_kg: float, draw: Draw) -> None:
    filling = _filling(mass_kg, (100 * share, 100 - 100 * share))
    found = _drawn(filling, draw)
    for point in found.points:
        assert point.balance_error < 1e-9
        held = point.liquid_kg + point.vapor_kg
        assert held == pytest.approx((1 - point.fraction) * mass_kg, abs=1e-9 * mass_kg)
        assert sum(point.leaving) == pytest.approx(100)
        if point.left is not None:
            total = [
                point.fraction * gone + (1 - point.fraction) * stays
                for gone, stays in zip(point.delivered, point.left, strict=True)
            ]
            assert total == pytest.approx(filling.mass_pct, abs=1e-7)
    assert found.end.delivered == pytest.approx(filling.mass_pct, abs=1e-7)


def test_vapor_takes_the_volatile_part_and_liquid_leaves_it() -> None:
    vapor, liquid = (_drawn(_filling(), draw).points for draw in ("vapor", "liquid"))
    volatile_in_liquid = [p.left_liquid[0] for p in vapor if p.left_liquid]
    assert volatile_in_liquid == sorted(volatile_in_liquid, reverse=True)
    # The volatile share of the whole falls if vapor leaves and rises if liquid does.
    assert vapor[10].left is not None
    assert vapor[10].left[0] < 50 < vapor[10].leaving[0]
    assert liquid[10].left is not None
    assert liquid[10].left[0] > 50 > liquid[10].leaving[0]
    assert vapor[10].pressure_pa < vapor[0].pressure_pa


def test_rayleigh_distillation_is_matched() -> None:
    """With next to no vapor space the liquid follows Rayleigh's law, in closed form.

    For constant relative volatility a of two components with mole fractions x and
    moles n of liquid: n / n0 = (x / x0)^(1/(a-1)) ((1-x0) / (1-x))^(a/(a-1)).
    """
    blend = IdealBlend(vapor_pressures=(2e2, 1e2))  # so thin a vapor weighs nothing
    filling = _filling(mass_kg=1.0, pct=(50, 50), volume=0.002)
    a, (x0, _) = 2.0, mole_fractions((50, 50), blend.molar_masses)
    found = draw_down(blend, filling, "vapor", 0.6)
    assert isinstance(found, DrawDown)
    end = found.end
    assert end.left_liquid is not None
    x, _ = mole_fractions(end.left_liquid, blend.molar_masses)
    left = (x / x0) ** (1 / (a - 1)) * ((1 - x0) / (1 - x)) ** (a / (a - 1))
    begun = sum(filling.moles(blend))
    moles = end.liquid_kg / (x * 0.05 + (1 - x) * 0.1)
    assert moles / begun == pytest.approx(left, rel=2e-4)


def test_halving_the_step_shrinks_the_error_sixteenfold() -> None:
    ends = [_drawn(_filling(), "vapor", 0.8, step).end for step in (0.2, 0.1, 0.05)]
    fine = _drawn(_filling(), "vapor", 0.8, 0.00625).end.leaving[0]
    errors = [abs(each.leaving[0] - fine) for each in ends]
    assert 8 < errors[0] / errors[1] < 40
    assert 8 < errors[1] / errors[2] < 40
    usual = _drawn(_filling(), "vapor", 0.8).end.leaving[0]
    assert abs(usual - fine) < 0.001


@pytest.mark.parametrize("draw", ["vapor", "liquid"])
def test_the_end_of_the_liquid_is_caught(draw: Draw) -> None:
    found = _drawn(_filling(), draw)
    assert found.liquid_gone is not None
    assert 0.9 < found.liquid_gone < 1
    last = found.points[-2]
    assert last.liquid_kg < 0.001 * found.filling.mass_kg
    assert found.end.left is None
    assert found.end.left_liquid is None
    assert found.end.pressure_pa == 0
    middle = _drawn(_filling(), draw, (1 + found.liquid_gone) / 2).end
    assert middle.left_liquid is None
    assert middle.left_vapor == middle.leaving
    assert 0 < middle.pressure_pa < last.pressure_pa


def test_nothing_drawn_yet() -> None:
    end = _drawn(_filling(), "vapor", 0.0).end
    assert end.delivered == end.leaving
    assert end.left == pytest.approx((50, 50))
    assert end.left_liquid is not None
    assert end.left_liquid[0] < 50  # its vapor holds some of the volatile part


def test_a_filling_of_vapor_alone_keeps_its_make_up() -> None:
    found = _drawn(_filling(mass_kg=0.1), "liquid", 0.5)
    assert found.liquid_gone == 0
    assert found.end.leaving == pytest.approx((50, 50))
    assert found.end.vapor_kg == pytest.approx(0.05)


def test_what_does_not_fit_is_said() -> None:
    found = draw_down(BLEND, _filling(mass_kg=20), "vapor")
    assert isinstance(found, LiquidFull)
    assert found.over > 1


@pytest.mark.parametrize("until", [-0.1, 1.1, float("nan")])
def test_fractions_lie_between_0_and_1(until: float) -> None:
    with pytest.raises(ValueError, match="outside 0 to 1"):
        draw_down(BLEND, _filling(), "vapor", until)


@given(st.floats(0.02, 0.98), st.floats(0.3, 10))
@settings(max_examples=50)
def test_what_is_settled_fills_the_volume_in_balance(share: float, mass: float) -> None:
    filling = _filling(mass, (100 * share, 100 - 100 * share))
    moles = filling.moles(BLEND)
    found = settle(BLEND, moles, filling.volume_m3, T_K)
    if isinstance(found, LiquidFull) or found.liquid is None:
        return
    assert mass_of(BLEND, found.liquid) + mass_of(BLEND, found.vapor) == pytest.approx(
        mass
    )
    pressure = found.pressure_pa
    taken = sum(found.liquid) / 12000 + sum(found.vapor) * R * T_K / pressure
    assert taken == pytest.approx(filling.volume_m3, rel=1e-6)
    pairs = zip(found.liquid, found.vapor, BLEND.vapor_pressures, strict=True)
    for wet, gas, pure in pairs:
        partial = pressure * gas / sum(found.vapor)
        assert partial == pytest.approx(pure * wet / sum(found.liquid), rel=1e-5)


def test_all_vapor_and_liquid_full_are_told_apart() -> None:
    moles = _filling(0.1).moles(BLEND)
    gas = settle(BLEND, moles, 0.012, T_K)
    assert isinstance(gas, Contents)
    assert gas.liquid is None
    assert gas.pressure_pa == pytest.approx(sum(moles) * R * T_K / 0.012)
    assert isinstance(settle(BLEND, moles, 1e-5, T_K), LiquidFull)


@given(st.floats(1, 99))
def test_mass_percent_and_mole_fractions_invert(pct: float) -> None:
    there = mole_fractions((pct, 100 - pct), (0.05, 0.1))
    back = mass_percent(there, (0.05, 0.1))
    assert back == pytest.approx((pct, 100 - pct))

"""Figures of the refrigerant knowledge: saturation, tables, speed, draw-down.

    .venv/bin/python tests/benchmarks/knowledge.py --seed 1

About half a minute. Progress goes to standard error, figures to standard output. The
seed chooses the temperatures at which the tables are compared.
"""

import argparse
import itertools
import math
import random
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, get_args

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.coolprop_properties import (
    CoolPropEquilibrium,
    apply_remedies,
    library,
)
from companion.knowledge.draw_down import DrawDown, draw_down
from companion.knowledge.drawing import Draw
from companion.knowledge.equilibrium import Quality, mole_fractions
from companion.knowledge.loading import Knowledge
from companion.knowledge.mixture_pairs import read_pair_remedies
from companion.knowledge.properties import Curve, OutsideTable
from companion.knowledge.quantities import AbsolutePressure, Temperature, Volume
from companion.shell.blend_model import fill, mass_at_level
from companion.shell.knowledge_files import read_data_file, read_knowledge
from companion.shell.lookup_answer import find_substance

PUBLISHED = Path(__file__).parents[1] / "published" / "saturation.toml"
CURVES: tuple[tuple[Curve, Quality], ...] = (("bubble", 0), ("dew", 1))
ROOM = Volume.from_litre(12)
ROOM_TEMPERATURE = Temperature.from_c(25)
# Liquid left after 50 and 90 % drawn as vapor, mass %, and pressure [kPa] at the start
# and after 90 %: an earlier solver of the same model (flashes over the quality).
OTHER_SOLVER: Mapping[str, tuple[tuple[float, ...], tuple[float, ...], int, int]] = {
    "R-407C": ((16.2, 19.8, 64.0), (5.4, 8.9, 85.7), 1189, 820),
    "R-410A": ((48.1, 51.9), (43.2, 56.8), 1657, 1643),
    "R-422D": ((57.2, 39.7, 3.1), (36.0, 62.0, 2.0), 1132, 922),
    "R-454B": ((61.8, 38.2), (37.3, 62.7), 1584, 1372),
    "R-458A": ((11.4, 2.6, 68.3, 16.7, 0.9), (2.3, 0.8, 70.2, 24.3, 2.4), 1027, 687),
}
# Saturation rows of refused refrigerants, from the library alone (ASHRAE Handbook:
# Fundamentals 2021, chapter 29, table 8): [degF], [kPa].
REFUSED = (("R-744", "R744", 20.0, 2909.0), ("R-717", "R717", 86.0, 1167.0))


def main() -> None:
    """Print every figure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    chance = random.Random(parser.parse_args().seed)  # noqa: S311 - no secret
    parts: list[tuple[str, Callable[[], None]]] = []
    knowledge = read_knowledge()
    pairs = read_pair_remedies(read_data_file("mixture_pairs.toml"), knowledge.sources)
    assert isinstance(pairs, list)
    parts = [
        ("import time and memory", imports),
        ("published saturation", lambda: saturation(knowledge)),
        ("normal points", lambda: normal_points(knowledge)),
        ("tables against the library", lambda: tables(knowledge, chance)),
        ("speed of a look-up", lambda: speed(knowledge, chance)),
        ("draw-down", lambda: draw_downs(knowledge)),
    ]
    for number, (name, part) in enumerate(parts, start=1):
        print(f"[{number}/{len(parts)}] {name} ...", file=sys.stderr, flush=True)
        print(f"\n== {name}")
        if number == 2:  # the first part measures fresh processes
            apply_remedies(pairs)
        part()


def imports() -> None:
    """Start fresh processes and measure them."""
    read = (
        "from companion.shell.knowledge_files import read_knowledge; read_knowledge()"
    )
    quiet = "from companion.knowledge.coolprop_properties import library; library()"
    for name, code in (
        ("bare interpreter", "pass"),
        ("knowledge read, no CoolProp", read),
        ("knowledge read and CoolProp imported", f"{read}; {quiet}"),
        ("knowledge read and CoolProp as it comes", f"{read}; import CoolProp"),
    ):
        measured = (
            "import time; start = time.perf_counter()\n"
            f"{code}\n"
            "wall = time.perf_counter() - start\n"
            "lines = open('/proc/self/status').read().splitlines()\n"
            "peak = next(line.split()[1] for line in lines if 'VmHWM' in line)\n"
            "print(f'{wall:.3f} {int(peak) / 1024:.0f}')"
        )
        done = subprocess.run(  # noqa: S603 - our own interpreter
            [sys.executable, "-c", measured], capture_output=True, text=True, check=True
        )
        wall, peak = done.stdout.split()[-2:]
        print(f"{name}: {wall} s, peak {peak} MB")


def saturation(knowledge: Knowledge) -> None:
    """Print every published row with its error."""
    groups = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["group"]
    outside = 0
    for group in groups:
        print(f"{group['source']}; {group['locator']}")
        for each in group["cases"]:
            outside += _row(knowledge, {**group, **each})
    for name, fluid, fahrenheit, kpa in REFUSED:
        at_k = Temperature.from_f(fahrenheit).k
        found = library().PropsSI("P", "T", at_k, "Q", 0, fluid) / 1000
        print(
            f"  {name} {fahrenheit:.0f} F: printed {kpa:g} kPa, library {found:.2f} kPa; "
            "refused by the look-up, on purpose"
        )
    print(f"rows outside the print's own precision: {outside}, marked *, reason given")


def _row(knowledge: Knowledge, case: Mapping[str, Any]) -> bool:
    found = find_substance(knowledge, case["refrigerant"])
    at = (
        Temperature.from_f(case["temperature_f"])
        if "temperature_f" in case
        else Temperature.from_c(case["temperature_c"])
    )
    wanted: tuple[Curve, ...] = (
        ("bubble", "dew") if case["curve"] == "mean" else (case["curve"],)
    )
    pressures = []
    for curve in wanted:
        pressure = knowledge.properties.saturation_pressure(found, curve, at)
        assert not isinstance(pressure, OutsideTable)
        pressures.append(pressure.kpa)
    mean, printed = sum(pressures) / len(pressures), case["pressure_kpa"]
    digits = _print_unit(case)
    outside = abs(mean - printed) > digits
    print(
        f"  {case['refrigerant']:11} {at.c:8.3f} C {case['curve']:6} printed "
        f"{printed:8g} kPa, found {mean:9.3f} kPa, {100 * (mean / printed - 1):+.3f} %"
        + (f" * {case['tolerance_reason']}" if outside else "")
    )
    return outside


def _print_unit(case: Mapping[str, Any]) -> float:
    """Give what the print can tell [kPa]: a unit of its last digit, or of its point."""
    if "boiling" in case["locator"] or "bubble point" in case["locator"]:
        return 0.12  # 0.03 K in the printed temperature
    text = repr(float(case["pressure_kpa"])).removesuffix(".0")
    decimals = len(text.split(".")[1]) if "." in text else 0
    return float(10**-decimals)


def normal_points(knowledge: Knowledge) -> None:
    """Print each tier 1 blend's error at 101.325 kPa."""
    for each in knowledge.catalogue.refrigerants:
        if each.tier != 1 or each.kind == "single":
            continue
        errors = []
        points: tuple[tuple[Curve, Temperature], ...] = (
            ("bubble", each.normal_bubble),
            ("dew", each.normal_dew),
        )
        for curve, printed in points:
            found = knowledge.properties.saturation_temperature(
                each, curve, AbsolutePressure(101325)
            )
            assert isinstance(found, Temperature)
            errors.append((found - printed).k)
        mark = each.citations["normal_points"].mark
        far = " *" if max(map(abs, errors)) > 0.5 else ""
        print(
            f"  {each.designation:8} bubble {errors[0]:+.2f} K, dew {errors[1]:+.2f} K "
            f"({mark}){far}"
        )


def tables(knowledge: Knowledge, chance: random.Random) -> None:
    """Compare every table with the library, one chance point in each degree."""
    worst: list[tuple[float, str]] = []
    falling = crossed = asked = 0
    for number, each in enumerate(knowledge.catalogue.refrigerants):
        if number % 12 == 0:
            print(f"  {number} refrigerants compared", file=sys.stderr, flush=True)
        largest = 0.0
        for curve, quality in CURVES:
            largest = max(largest, _largest(knowledge, each, curve, quality, chance))
            asked += 1
        worst.append((100 * largest, each.designation))
        bubble, dew = (_fine(knowledge, each, curve) for curve, _ in CURVES)
        falling += sum(a >= b for a, b in itertools.pairwise(bubble))
        falling += sum(a >= b for a, b in itertools.pairwise(dew))
        crossed += sum(
            one < other * (1 - 2e-6) for one, other in zip(bubble, dew, strict=True)
        )
    worst.sort(reverse=True)
    shown = ", ".join(f"{name} {pct:.5f} %" for pct, name in worst[:5])
    print(f"{asked} curves; largest errors of pressure: {shown}")
    print(f"steps of 0.1 K at which pressure does not rise: {falling}")
    print(f"points at which bubble is below dew by more than 2e-6: {crossed}")


def _ends(knowledge: Knowledge, each: Refrigerant) -> tuple[float, float]:
    far = knowledge.properties.saturation_pressure(each, "bubble", Temperature(20))
    assert isinstance(far, OutsideTable)
    assert isinstance(far.low, Temperature)
    assert isinstance(far.high, Temperature)
    return far.low.c, far.high.c


def _largest(
    knowledge: Knowledge,
    each: Refrigerant,
    curve: Curve,
    quality: Quality,
    chance: random.Random,
) -> float:
    equilibrium = CoolPropEquilibrium(each.designation, list(each.mass_pct))
    make_up = mole_fractions(list(each.mass_pct.values()), equilibrium.molar_masses)
    low, high = _ends(knowledge, each)
    largest = 0.0
    for degree in range(math.ceil(low), math.floor(high)):
        at = Temperature.from_c(degree + chance.random())
        state = equilibrium.saturated(quality, make_up, at.k)
        found = knowledge.properties.saturation_pressure(each, curve, at)
        assert isinstance(found, AbsolutePressure)
        largest = max(largest, abs(found.pa / state.pressure_pa - 1))
    return largest


def _fine(knowledge: Knowledge, each: Refrigerant, curve: Curve) -> list[float]:
    low, high = _ends(knowledge, each)
    steps = int((high - low) * 10)
    pressures = []
    for step in range(steps + 1):
        at = Temperature.from_c(min(low + step / 10, high))
        found = knowledge.properties.saturation_pressure(each, curve, at)
        assert isinstance(found, AbsolutePressure)
        pressures.append(found.pa)
    return pressures


def speed(knowledge: Knowledge, chance: random.Random) -> None:
    """Ask the table and the library the same questions, turn by turn."""
    print(
        "  (the library without its superancillaries; with them a pure one is as fast)"
    )
    for name in ("R-22", "R-410A", "R-407C", "R-458A"):
        found = knowledge.catalogue.get(name)
        assert isinstance(found, Refrigerant)
        lib = library()
        parts = "&".join(each.replace("R-", "R", 1) for each in found.mass_pct)
        state = lib.AbstractState("HEOS", parts)
        if len(found.mass_pct) > 1:
            state.set_mass_fractions([pct / 100 for pct in found.mass_pct.values()])
        pressures = [chance.uniform(3e5, 20e5) for _ in range(300)]
        table = direct = 0.0
        for pa in pressures:
            start = time.perf_counter()
            knowledge.properties.saturation_temperature(
                found, "dew", AbsolutePressure(pa)
            )
            table += time.perf_counter() - start
            start = time.perf_counter()
            state.update(lib.PQ_INPUTS, pa, 1)
            direct += time.perf_counter() - start
        count = len(pressures)
        print(
            f"  {name}: table {1e6 * table / count:.1f} us, library "
            f"{1e6 * direct / count:.1f} us a question, ratio {direct / table:.1f}"
        )


def draw_downs(knowledge: Knowledge) -> None:
    """Draw five blends as vapor and as liquid; compare, converge, balance, time."""
    worst = 0.0
    for name, other in OTHER_SOLVER.items():
        found = knowledge.catalogue.get(name)
        assert isinstance(found, Refrigerant)
        draws: tuple[Draw, ...] = get_args(Draw)
        for draw in draws:
            start = time.perf_counter()
            whole = _drawn(found, draw, 1.0, 0.025)
            wall = time.perf_counter() - start
            balance = max(point.balance_error for point in whole.points)
            worst = max(worst, balance)
            print(
                f"  {name} as {draw}: whole curve {wall:.2f} s, {len(whole.points)} "
                f"points, liquid gone at {whole.liquid_gone:.3f}, balance {balance:.0e}"
            )
        _beside(found, other)
        ends = [_drawn(found, "vapor", 0.9, step).end for step in STEPS]
        fine = ends[-1].left_liquid or ()
        errors = [
            max(abs(a - b) for a, b in zip(end.left_liquid or (), fine, strict=True))
            for end in ends[:-1]
        ]
        listed = ", ".join(
            f"{step:.1%} {error:.5f}"
            for step, error in zip(STEPS, errors, strict=False)
        )
        print(f"    error by step at 90 %, mass % from {STEPS[-1]:.3%} steps: {listed}")
    print(f"largest balance error: {worst:.0e} of the filling")


STEPS = (0.1, 0.05, 0.025, 0.0125, 0.00625)


def _drawn(found: Refrigerant, draw: Draw, until: float, step: float) -> DrawDown:
    equilibrium = CoolPropEquilibrium(found.designation, list(found.mass_pct))
    net = mass_at_level(equilibrium, found, ROOM, ROOM_TEMPERATURE, 0.8)
    filling = fill(found, net, ROOM, ROOM_TEMPERATURE)
    drawn = draw_down(equilibrium, filling, draw, until, step)
    assert isinstance(drawn, DrawDown)
    return drawn


def _beside(
    found: Refrigerant, other: tuple[tuple[float, ...], tuple[float, ...], int, int]
) -> None:
    half, most = (_drawn(found, "vapor", until, 0.025).end for until in (0.5, 0.9))
    start = _drawn(found, "vapor", 0.0, 0.025).end
    for what, end, theirs in (("50 %", half, other[0]), ("90 %", most, other[1])):
        ours = "/".join(f"{pct:.1f}" for pct in end.left_liquid or ())
        print(f"    liquid at {what}: {ours}; other solver {_slashed(theirs)}")
    print(
        f"    pressure {start.pressure_pa / 1000:.0f} to {most.pressure_pa / 1000:.0f} "
        f"kPa; other solver {other[2]} to {other[3]}"
    )


def _slashed(shares: tuple[float, ...]) -> str:
    return "/".join(f"{share:.1f}" for share in shares)


if __name__ == "__main__":
    main()

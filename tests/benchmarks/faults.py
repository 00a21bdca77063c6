"""What the coach does when something is wrong: faults and hands, many rigs each.

    .venv/bin/python tests/benchmarks/faults.py --rigs 40 --seed 20000 --mode voice

Each row injects one fault and says in how many jobs the wanted end came. Simulation.
"""

import argparse
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

from coached_site import Crew, Result, Site
from coaching import LIQUID, percent, share

from companion.shell.rig.faults import (
    CylinderEmpty,
    CylinderTurnedOver,
    CylinderValveShut,
    Fault,
    IndoorAirLost,
    OutdoorFanFailed,
    ValvePasses,
)
from companion.shell.rig.fleet import random_spec
from companion.shell.rig.hand import Habits

Wanted = Callable[[Result], bool]


@dataclass(frozen=True, kw_only=True)
class Case:
    """One row: what is injected, what is wanted, and the least share of jobs."""

    name: str
    wanted: str
    good: Wanted
    least: float
    faults: tuple[Fault, ...] = ()
    charge: float | None = None
    misreads: float = 0.02
    misses: float = 0.0
    silent: bool = False


# The question whether the cylinder valve is open puts a shut one right.
NOTHING_FED = ("no-rise", "no-effect")


def ended(*outcomes: str) -> Wanted:
    return lambda result: result.outcome in outcomes


def below(limit: float) -> Wanted:
    return lambda result: result.error_pct <= limit


def contained(result: Result) -> bool:
    return result.error_pct <= 6 or result.outcome != "target"


def fed_little(result: Result) -> bool:
    return result.fed_pct < 2


def closed_in_time(result: Result) -> bool:
    return max(result.open_s, default=0.0) <= 20


CASES = (
    Case(name="none", wanted="target", good=ended("target"), least=92),
    Case(
        name="cylinder empty",
        wanted="stop, no target",
        good=ended(*NOTHING_FED),
        least=95,
        faults=(CylinderEmpty(),),
    ),
    Case(
        name="cylinder valve shut",
        wanted="stop, or put right",
        good=ended("target", *NOTHING_FED),
        least=95,
        faults=(CylinderValveShut(),),
    ),
    Case(
        name="0.2 kg left",
        wanted="no-rise or target",
        good=ended("target", *NOTHING_FED),
        least=92,
        faults=(CylinderEmpty(left_kg=0.2),),
    ),
    Case(
        name="cylinder upright",
        wanted="ends, not over 6 %",
        good=below(6),
        least=95,
        faults=(CylinderTurnedOver(at=1.0),),
    ),
    Case(
        name="silent technician",
        wanted="openings at most 20 s",
        good=closed_in_time,
        least=95,
        silent=True,
    ),
    Case(
        name="half of the close calls missed",
        wanted="not over 10 %",
        good=below(10),
        least=95,
        misses=0.5,
    ),
    Case(
        name="valve passes 1.5 %",
        wanted="not over 6 %, or flagged",
        good=contained,
        least=95,
        faults=(ValvePasses(),),
    ),
    Case(
        name="valve passes 5 %",
        wanted="not over 6 %, or flagged",
        good=contained,
        least=95,
        faults=(ValvePasses(share=0.05),),
    ),
    Case(
        name="15 % gross misreads",
        wanted="not over 6 %",
        good=below(6),
        least=95,
        misreads=0.15,
    ),
    Case(
        name="outdoor fan fails at 200 s",
        wanted="stop",
        good=lambda r: r.outcome != "target",
        least=90,
        faults=(OutdoorFanFailed(at=200.0),),
    ),
    Case(
        name="indoor air lost at 200 s",
        wanted="not over 6 %",
        good=contained,
        least=95,
        faults=(IndoorAirLost(at=200.0),),
    ),
    Case(
        name="already 100 %",
        wanted="fed under 2 %",
        good=fed_little,
        least=100,
        charge=1.0,
    ),
    Case(
        name="already 110 %",
        wanted="fed under 2 %",
        good=fed_little,
        least=100,
        charge=1.1,
    ),
)


def play(task: tuple[int, int, str]) -> Result:
    """Play one job of one case."""
    index, seed, mode = task
    case = CASES[index]
    spec = random_spec(seed, refrigerant=LIQUID[seed % len(LIQUID)])
    if case.charge is not None:
        spec = replace(spec, charge_fraction=case.charge)
    spec = replace(spec, faults=case.faults)
    crew = Crew(
        sensor=mode == "sensor",
        misreads=case.misreads,
        silent=case.silent,
        habits=Habits(misses_close=case.misses),
    )
    result = Site(spec, crew).run()
    result.facts = []
    return result


def line(case: Case, results: Sequence[Result]) -> str:
    """Give one row of the table."""
    good = percent([case.good(each) for each in results])
    outcomes = sorted({each.outcome for each in results})
    counts = ", ".join(
        f"{name} {sum(r.outcome == name for r in results)}" for name in outcomes
    )
    opened = [s for each in results for s in each.open_s]
    late = max((x for each in results for x in each.close_late_s), default=0.0)
    worst = max(each.error_pct for each in results)
    mark = "pass" if good >= case.least else "MISS"
    return (
        f"{case.name:32} {case.wanted:26} {good:5.1f} %  {mark}  worst {worst:+5.1f} %, "
        f"openings 95th {share(opened, 0.95) if opened else 0:4.1f} s longest "
        f"{max(opened, default=0):4.1f} s, close call late {late:.2f} s, "
        f"unclosed {sum(each.unclosed for each in results)}; {counts}"
    )


def main() -> None:
    """Play every case and print a row each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rigs", type=int, default=10)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--mode", choices=("voice", "sensor"), default="voice")
    parser.add_argument("--case", help="only cases whose name has this in it")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    given = parser.parse_args()
    with ProcessPoolExecutor(given.jobs) as pool:
        for index, case in enumerate(CASES):
            if given.case and given.case not in case.name:
                continue
            seeds = range(given.seed, given.seed + given.rigs)
            print(f"\r{case.name} ...", end="", file=sys.stderr)
            tasks = [(index, seed, given.mode) for seed in seeds]
            print(f"\r{line(case, list(pool.map(play, tasks)))}", flush=True)


if __name__ == "__main__":
    main()

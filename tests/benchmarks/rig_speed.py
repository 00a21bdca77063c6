"""How fast the simulated unit runs on this machine.

Run by hand: ``python -m tests.benchmarks.rig_speed --seed 1``. Prints, for a unit at
rest and for one being charged, how many simulated seconds pass in one real second,
and how long a running unit takes to make, at the rig's own step of 0.1 s. Real time or
better is not enough: a rehearsal is played at 500 times real time or more. The verdict
goes by the time of the processor, so that other work on the machine does not blur it;
the time on the wall is printed beside it.
"""

import argparse
import time

from companion.shell.rig.fleet import random_spec
from companion.shell.rig.rig import Rig

NEEDED = 500.0


def _times_real(rig: Rig, seconds: float) -> tuple[float, float]:
    """Give simulated seconds per second of the processor, and per second on the wall."""
    wall, core = time.perf_counter(), time.process_time()
    rig.advance(seconds)
    return (
        seconds / (time.process_time() - core),
        seconds / (time.perf_counter() - wall),
    )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rigs", type=int, default=10)
    options = parser.parse_args()
    slowest = float("inf")
    for seed in range(options.seed, options.seed + options.rigs):
        spec = random_spec(seed)
        start = time.perf_counter()
        rig = Rig(spec)
        made = time.perf_counter() - start
        at_rest, at_rest_wall = _times_real(rig, 600.0)
        rig.turn_valve(0.1)
        charging, charging_wall = _times_real(rig, 120.0)
        slowest = min(slowest, at_rest, charging)
        print(
            f"{spec.refrigerant:7} {spec.metering:13} made in {made:.2f} s, "
            f"at rest {at_rest:6.0f} x, charging {charging:6.0f} x real time of one core "
            f"({at_rest_wall:.0f} x, {charging_wall:.0f} x on the wall)"
        )
    verdict = "enough" if slowest >= NEEDED else "TOO SLOW"
    print(
        f"slowest {slowest:.0f} x real time of one core, needed {NEEDED:.0f}: {verdict}"
    )


if __name__ == "__main__":
    main()

"""How fast a stop press and a live pressure at its limit become sound and record.

    .venv/bin/python tests/benchmarks/press_to_sound.py --seed 1 --rounds 20

The live program around an opened job, on the real clock, with buttons and converter on
simulated pins, in three settings: nothing in the way; the recogniser decoding without a
pause in its process; and every write to the card stalled by two seconds as well.
Printed are, from the pin's change, the time until the first sound sample of the close
call is queued, until the attention lamp lights, and until the press is on the card; and
from the sample that crossed the limit until the first sound sample. A last row stops
the loop altogether: then the second watch must call.
"""

import argparse
import statistics
import tempfile
import threading
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from companion.job.facts import CloseCalled, Fact, OpenReported
from companion.job.state import Closing
from companion.shell.arrivals import Sensed
from companion.shell.knowing import read_know
from companion.shell.wording import read_wording
from hardware import Reading, pins
from speech import NumberRange, Vocabulary
from speech.segmenter import Segment
from tests.benchmarks.fault_campaign import Bench, facts_until

LONGEST_S = 6.0


def main() -> None:
    """Run the settings and print their figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=10)
    given = parser.parse_args()
    know, wording = read_know(), read_wording("us")
    facts = facts_until(
        lambda f: isinstance(f, OpenReported), know, wording, given.seed
    )
    random = np.random.default_rng(given.seed)
    noise = (random.standard_normal(40_000) * 3000).astype(np.int16)
    print(f"{'setting':34} {'what':26} {'median':>9} {'worst':>9}  rounds")
    for name, busy, stall_s in (
        ("nothing in the way", False, 0.0),
        ("recogniser busy", True, 0.0),
        ("recogniser busy, card blocked 2 s", True, 2.0),
    ):
        for way in ("press", "pressure"):
            times: dict[str, list[float]] = {}
            for _ in range(given.rounds):
                bench = Bench(facts, know, wording, Path(tempfile.mkdtemp()))
                if busy:
                    keep_busy(bench, noise)
                bench.journal.stall_s = stall_s
                for what, seconds in one(bench, way).items():
                    times.setdefault(what, []).append(seconds)
                bench.close()
            show(name, times)
    times = {}
    for _ in range(given.rounds):
        bench = Bench(facts, know, wording, Path(tempfile.mkdtemp()))
        for what, seconds in hung(bench).items():
            times.setdefault(what, []).append(seconds)
        bench.close()
    show("loop hangs, second watch calls", times)


def show(name: str, times: dict[str, list[float]]) -> None:
    """Print the rows of a setting."""
    for what, found in times.items():
        middle, worst = statistics.median(found) * 1000, max(found) * 1000
        print(f"{name:34} {what:26} {middle:6.1f} ms {worst:6.1f} ms  {len(found)}")


def keep_busy(bench: Bench, noise: np.ndarray) -> None:
    """Give the recogniser more than it can decode in this round."""
    numbers = Vocabulary(numbers=NumberRange(low=0, high=700, units=("psi",)))
    segment = Segment(samples=noise, noise_before=noise[:16_000], begin=0, end=2.5)
    bench.engine.unknown_words(Vocabulary(controls=("yes",)))  # it is set up
    for _ in range(8):
        bench.engine.submit(segment, numbers)
    bench.begin_now()


class Watched:
    """Notes when the press or sample came, and what it had led to by when."""

    def __init__(self, bench: Bench, way: str) -> None:
        self._bench = bench
        self._way = way
        self._append = bench.journal.append
        bench.journal.append = self._keep  # type: ignore[method-assign]
        self._lamp = bench.board.factory.pin(pins.LAMPS["attention"])
        self.written = threading.Event()
        self.at: dict[str, float] = {}

    def _keep(self, job: str, facts: Sequence[Fact]) -> None:
        self._append(job, facts)
        if any(isinstance(fact, CloseCalled) for fact in facts):
            self.at["on the card"] = time.monotonic()
            self.written.set()

    def strike(self) -> None:
        """Press stop, or let a sample be past its limit."""
        self.at["begin"] = time.monotonic()
        if self._way == "press":
            self._bench.board.factory.pin(pins.BUTTONS["stop"]).drive_low()
            return
        valve = self._bench.loop.job.valve
        psi = valve.plan.ceiling.si / 6894.757 + 1  # type: ignore[union-attr]
        reading = Reading(channel="suction-pressure", value=psi, unit="psig")
        self._bench.inbox.put(Sensed(at=self.at["begin"], found=(reading,)))

    def look(self) -> bool:
        """Note the lamp; tell whether the call has sounded."""
        if "lamp lit" not in self.at and self._lamp.state and "begin" in self.at:
            self.at["lamp lit"] = time.monotonic()
        closing = isinstance(self._bench.loop.job.valve, Closing)
        return closing and bool(self._bench.out.queued)


def one(bench: Bench, way: str) -> dict[str, float]:
    """Press stop, or let a sample cross the limit, from another thread; time it."""
    bench.rounds(0.2, lambda _: False)
    watched = Watched(bench, way)
    threading.Timer(0.15, watched.strike).start()
    begin = time.monotonic()
    while time.monotonic() - begin < LONGEST_S:
        bench.live._round()
        if watched.look():
            break
    watched.written.wait(LONGEST_S)
    at, started = watched.at, watched.at["begin"]
    found = {"first sound sample": bench.out.queued[0] - started}
    if way == "press":
        found |= {w: at[w] - started for w in ("lamp lit", "on the card") if w in at}
    return {f"{way} to {what}": seconds for what, seconds in found.items()}


def hung(bench: Bench) -> dict[str, float]:
    """Press stop while the loop does not run at all."""
    begin = time.monotonic()
    bench.board.factory.pin(pins.BUTTONS["stop"]).drive_low()
    while not bench.out.queued and time.monotonic() - begin < LONGEST_S:
        time.sleep(0.005)
    return {"press to first sound sample": bench.out.queued[0] - begin}


if __name__ == "__main__":
    main()

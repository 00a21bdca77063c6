"""How long the engine thinks, and how long the card takes: medians, never asserted.

.venv/bin/python tests/benchmarks/engine.py --seed 1
"""

import argparse
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from companion.job.engine import decide
from companion.job.evolve import fold
from companion.job.facts import Fact
from companion.job.inputs import Input
from companion.job.state import Job
from companion.shell.clock import SystemClock
from companion.shell.journal import Journal
from companion.shell.knowing import read_know
from companion.shell.loop import Loop
from companion.shell.rehearsal.run import rehearse
from companion.shell.rehearsal.scenario import read_scenario, scenario_names
from companion.shell.wording import read_wording


def main() -> None:
    """Play every scenario typed, with each step timed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    seed = parser.parse_args().seed
    know, wording = read_know(), read_wording("us")
    inputs: list[tuple[Job, Input]] = []
    facts: list[Sequence[Fact]] = []
    plain = Loop.step

    def noted(loop: Loop, event: Input) -> None:
        inputs.append((loop.job, event))
        plain(loop, event)

    Loop.step = noted  # type: ignore[method-assign] - a benchmark listens in
    for name in scenario_names():
        with tempfile.TemporaryDirectory() as folder:
            start = time.perf_counter()
            done = rehearse(
                read_scenario(name),
                know=know,
                wording=wording,
                seed=seed,
                folder=Path(folder),
            )
            wall = time.perf_counter() - start
        print(f"{name:16} {done.job_s / 60:5.1f} min of job in {wall:.2f} s typed")
    Loop.step = plain  # type: ignore[method-assign]
    times = []
    for job, event in inputs:
        start = time.perf_counter()
        decision = decide(job, event, know)
        fold(decision.facts, job)
        times.append(time.perf_counter() - start)
        if decision.facts:
            facts.append(decision.facts)
    show("decide + evolve", times)
    with tempfile.TemporaryDirectory() as folder:
        journal = Journal(Path(folder) / "journal.sqlite3", SystemClock())
        times = []
        for found in facts[:300]:
            start = time.perf_counter()
            journal.append("benchmark", found)
            times.append(time.perf_counter() - start)
        journal.close()
    show("journal commit, synced", times)


def show(what: str, times: list[float]) -> None:
    """Print median, 95th percentile and worst in microseconds."""
    ordered = sorted(times)
    print(
        f"{what:24} median {statistics.median(ordered) * 1e6:8.0f} us, "
        f"95 % {ordered[int(0.95 * len(ordered))] * 1e6:8.0f} us, "
        f"worst {ordered[-1] * 1e6:8.0f} us, of {len(ordered)}"
    )


if __name__ == "__main__":
    main()

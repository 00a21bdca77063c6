"""Cold start to the first prompt, and time and peak memory of rehearsals.

.venv/bin/python tests/benchmarks/startup.py --seed 1
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

REPEATS = 5


def main() -> None:
    """Time both commands as a user starts them, in fresh processes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--scenario", default="liquid-orifice")
    given = parser.parse_args()
    times = sorted(first_prompt() for _ in range(REPEATS))
    print(f"run --typed to first prompt: median {times[REPEATS // 2]:.2f} s")
    for typed in (True, False):
        rehearsal(given.scenario, given.seed, typed=typed)


def first_prompt() -> float:
    """Start ``companion run --typed`` and wait for its first question [s]."""
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        command = [sys.executable, "-m", "companion", "run", "--typed", "--job", folder]
        with subprocess.Popen(  # noqa: S603 - our own command
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        ) as process:
            assert process.stdout is not None
            for line in process.stdout:
                if line.rstrip().endswith("?"):
                    break
            wall = time.perf_counter() - start
            process.kill()
    return wall


def rehearsal(scenario: str, seed: int, *, typed: bool) -> None:
    """Play a rehearsal and print its figures, children's memory included."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "companion", "rehearse", "--json"]
        command += ["--scenario", scenario, "--seed", str(seed), "--out", folder]
        start = time.perf_counter()
        process = subprocess.Popen(  # noqa: S603 - our own command
            [*command, *(["--typed"] if typed else [])], stdout=subprocess.PIPE
        )
        peak = 0
        while process.poll() is None:
            peak = max(peak, _resident(process.pid))
            time.sleep(0.05)
        assert process.stdout is not None
        result = json.loads(process.stdout.read())
        wall = time.perf_counter() - start
    print(
        f"rehearse {'--typed' if typed else 'with sound'}: {wall:.1f} s of wall time for "
        f"{result['job_s'] / 60:.1f} min ({result['job_s'] / wall:.0f} times as fast), "
        f"peak memory {peak / 1e6:.0f} MB with children; readings {result['readings']}"
    )


def _resident(pid: int) -> int:
    """Give the resident memory of a process and its children [bytes]."""
    total = 0
    for one in (pid, *_children(pid)):
        try:
            pages = int(Path(f"/proc/{one}/statm").read_text().split()[1])
        except (OSError, IndexError):
            continue
        total += pages * os.sysconf("SC_PAGE_SIZE")
    return total


def _children(pid: int) -> list[int]:
    try:
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    except OSError:
        return []
    direct = [int(each) for each in text.split()]
    return [*direct, *(below for each in direct for below in _children(each))]


if __name__ == "__main__":
    main()

"""Start-up of the box: time to the first spoken word, memory, and each import's share.

    .venv/bin/python tests/benchmarks/startup_shares.py --seed 1

The program starts as its service starts it, but with simulated pins and a player that
only notes when the first sample reaches it. The shares come from the interpreter's own
import timer, in a fresh process each. Estimates for a Raspberry Pi 4 take five times the
processor time here, and 2.5 times for a Pi 5: a public integer benchmark gives 1.4 and
0.76, which flatters them; interpreter work counted by instructions gives 2 to 4; the rest
allows for cold caches and a hot box. They are estimates until a board has run it.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

REPEATS = 3
PLACE_S = 1.2
FACTORS = {"Pi 4": 5.0, "Pi 5": 2.5}
MODULES = (
    "companion.cli",
    "companion.job.engine",
    "companion.shell.app",
    "pydantic",
    "gpiozero",
    "numpy",
    "hardware",
    "speech.engines",
)
PLAYER = """#!{python}
import sys, time, pathlib
first = sys.stdin.buffer.read(2)
pathlib.Path({mark!r}).write_text(str(time.monotonic()))
sys.stdin.buffer.read()
"""


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.parse_args()
    found = sorted(first_word() for _ in range(REPEATS))
    wall, main_s, others_s, memory = found[REPEATS // 2]
    load = os.getloadavg()[0]
    print(
        f"run to first spoken sample: median {wall:.2f} s of wall time at a load of "
        f"{load:.1f} ({PLACE_S} s of it listening to the place); processor time "
        f"{main_s:.2f} s in the program and {others_s:.2f} s in recogniser and "
        f"synthesiser; memory of all {memory:.0f} MB"
    )
    for board, factor in FACTORS.items():
        alone_s, all_s = (PLACE_S + factor * s for s in (main_s, main_s + others_s))
        print(
            f"  {board}: {alone_s:.1f} s where the others have cores of their own, "
            f"{all_s:.1f} s where nothing runs beside (times {factor:g})"
        )
    print(f"{'import of':26} {'alone':>9}")
    for module in MODULES:
        print(f"{module:26} {alone(module):6.0f} ms")
    print("largest parts of companion.shell.app:")
    for name, ms in shares("companion.shell.app")[:10]:
        print(f"  {name:32} {ms:6.0f} ms with what it brings")


def first_word() -> tuple[float, float, float, float]:
    """Start, wait for the first sample, end.

    Gives wall time [s], processor time of the program and of its children [s], and the
    memory of all [MB].
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        mark = folder / "first"
        player = folder / "aplay"
        player.write_text(PLAYER.format(python=sys.executable, mark=str(mark)))
        player.chmod(0o755)
        recorder = folder / "arecord"
        recorder.write_text("#!/bin/sh\nexec sleep 60\n")
        recorder.chmod(0o755)
        environment = {**os.environ, "PATH": f"{folder}:{os.environ['PATH']}"}
        command = [sys.executable, "-m", "companion", "run", "--job", str(folder / "j")]
        begin = time.monotonic()
        process = subprocess.Popen(  # noqa: S603 - our own command
            command,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        while not mark.exists() or not mark.read_text():
            time.sleep(0.01)
        wall = float(mark.read_text()) - begin
        ids = [process.pid, *children(process.pid)]
        seconds = [processor_s(one) for one in ids]
        memory = sum(resident_mb(one) for one in ids)
        process.terminate()
        process.wait()
    return wall, seconds[0], sum(seconds[1:]), memory


def children(pid: int) -> list[int]:
    """Give the processes that a process has started, and theirs."""
    text = ""
    with suppress(OSError):
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    direct = [int(each) for each in text.split()]
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        with suppress(OSError):
            direct += [int(e) for e in task.read_text().split() if int(e) not in direct]
    return [*direct, *(below for each in direct for below in children(each))]


def processor_s(pid: int) -> float:
    """Give the processor time of a process so far [s]."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def resident_mb(pid: int) -> float:
    """Give the resident memory of a process [MB]."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def alone(module: str) -> float:
    """Give the processor time of an import in a fresh process [ms], least of some."""
    code = (
        f"import time; t = time.process_time(); import {module}; "
        "print((time.process_time() - t) * 1000)"
    )
    times = []
    for _ in range(REPEATS):
        done = subprocess.run(  # noqa: S603 - our own code
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        times.append(float(done.stdout))
    return min(times)


def shares(module: str) -> list[tuple[str, float]]:
    """Give the packages a module brings, with their time in all [ms], largest first."""
    done = subprocess.run(  # noqa: S603 - our own code
        [sys.executable, "-X", "importtime", "-c", f"import {module}"],
        capture_output=True,
        text=True,
        check=True,
    )
    largest: dict[str, float] = {}
    for line in done.stderr.splitlines():
        found = re.match(r"import time:\s*\d+ \|\s*(\d+) \|\s*(\S+)$", line)
        if found:
            name = found.group(2)
            largest[name] = max(largest.get(name, 0.0), int(found.group(1)) / 1000)
    largest.pop(module, None)
    return sorted(largest.items(), key=lambda each: -each[1])


if __name__ == "__main__":
    main()

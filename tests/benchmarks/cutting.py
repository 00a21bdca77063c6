"""How fast urgent speech cuts ordinary speech, from the call to the first sample.

    .venv/bin/python tests/benchmarks/cutting.py --seed 1 --rounds 30

The real speaker with the real voice on the pipe player; in place of the sound card's
program stands one that takes samples at the pace of their rate and notes when the first
of each sound arrives. An ordinary sentence is cut at a moment drawn from the seed. Three
cases: the urgent sentence alone; with its tone before it, as the companion speaks; and
while the synthesiser is busy with a long sentence nobody has heard yet. Printed are the
times until the first sample of the urgent sound and until the cut sound has ended.
The time to start the player's program is in them, and printed by itself as well.
Beside all this a program does nothing but sleep a millisecond at a time and notes when it
was woken late: on a machine that others use as well that is the share of the times which
is not ours, so rounds in which it was late are counted and shown apart.
"""

import argparse
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from companion.shell.fixed_cues import fixed_sentences
from companion.shell.knowing import read_know
from companion.shell.wording import read_wording
from speech.players import PipePlayer
from speech.pyttsx3_speaker import Pyttsx3Speaker
from speech.voice import Voice

CARD = """
import os, sys, time
rate = int(sys.argv[sys.argv.index("-r") + 1])
read = sys.stdin.buffer.read1
first = True
while chunk := read(rate // 25 * 2):
    if first:
        first = False
        with open(sys.argv[1], "a") as log:
            log.write(f"{time.monotonic()} {os.getpid()}\\n")
    time.sleep(len(chunk) / 2 / rate)
"""
WATCH = """
import sys, time
with open(sys.argv[1], "a", buffering=1) as log:
    last = time.monotonic()
    while True:
        time.sleep(0.001)
        now = time.monotonic()
        if now - last > float(sys.argv[2]):
            log.write(f"{last} {now}\\n")
        last = now
"""
LATE_S = 0.02
"""From here on the machine itself counts as late [s]."""
LONG = (
    "With gloves and eye protection on, keep your face away, connect the low side hose "
    "first, then the liquid side, and let the weight come to rest. This is round {}."
)


class Bench:
    """A speaker on the paced player, and the log of what it got."""

    def __init__(self, folder: Path) -> None:
        self.log = folder / "log"
        self.log.touch()
        self._late = folder / "late"
        self._late.touch()
        watch = (sys.executable, "-S", "-c", WATCH, str(self._late), str(LATE_S))
        self._watch = subprocess.Popen(watch)  # noqa: S603 - our own program
        self.voice = Voice()
        command = (sys.executable, "-S", "-c", CARD, str(self.log))
        self.speaker = Pyttsx3Speaker(self.voice, PipePlayer(command))

    def starts(self) -> list[tuple[float, int]]:
        """Give when the first sample of each sound arrived, and in which process."""
        lines = self.log.read_text(encoding="utf-8").splitlines()
        return [(float(at), int(pid)) for at, pid in map(str.split, lines)]

    def late(self, begin: float, end: float) -> float:
        """Give how long the machine itself was late within these moments [s]."""
        lines = self._late.read_text(encoding="utf-8").splitlines()
        spans = (
            tuple(map(float, line.split())) for line in lines if line.count(".") > 1
        )
        return sum(max(0.0, min(e, end) - max(b, begin)) for b, e in spans)

    def close(self) -> None:
        """Let the speaker and the watching program go."""
        self.speaker.close()
        self._watch.kill()
        self._watch.wait()

    def wait_for(self, count: int) -> tuple[float, int]:
        """Wait for a number of sounds and give the last."""
        while len(found := self.starts()) < count:
            time.sleep(0.001)
        return found[count - 1]


def gone(pid: int) -> bool:
    """Tell whether a process has ended."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


def one_round(
    bench: Bench, ordinary: str, after: float, urgent: Callable[[], None]
) -> tuple[float, float, bool]:
    """Cut an ordinary sentence; give the times to the urgent one and to the end [s].

    The last is whether the machine itself was late meanwhile.
    """
    before = len(bench.starts())
    bench.speaker.say(ordinary)
    _, pid = bench.wait_for(before + 1)
    time.sleep(after)
    began = time.monotonic()
    urgent()
    while not gone(pid):
        time.sleep(0.0005)
    ended = time.monotonic()
    first, _ = bench.wait_for(before + 2)
    bench.speaker.settle()
    late = bench.late(began, max(first, ended)) > LATE_S
    return first - began, ended - began, late


def show(name: str, times: list[float]) -> None:
    """Print one line of figures."""
    ordered = sorted(times)
    late = ordered[max(0, round(0.95 * len(ordered)) - 1)]
    print(
        f"{name:44} median {statistics.median(times) * 1000:6.1f} ms, 95 % "
        f"{late * 1000:6.1f} ms, worst {ordered[-1] * 1000:6.1f} ms, of {len(times)}"
    )


def main() -> None:
    """Run the rounds and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=20)
    given = parser.parse_args()
    chance = random.Random(given.seed)  # noqa: S311 - seeded, to repeat a run
    wording = read_wording("us")
    close = "Close. Close the valve now."
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        began = time.monotonic()
        sentences = fixed_sentences(wording, read_know())
        bench.voice.prepare(sentences)
        made = time.monotonic() - began
        print(f"{len(sentences)} fixed sentences made ahead in {made:.1f} s")
        start = []
        for _ in range(given.rounds):
            began = time.monotonic()
            subprocess.run((sys.executable, "-S", "-c", ""), check=True)
            start.append(time.monotonic() - began)
        show("the player's program alone, start to end", start)

        def toned() -> None:
            bench.speaker.tone("danger", urgent=True)
            bench.speaker.say(close, urgent=True)

        def busy() -> None:
            bench.speaker.say(LONG.format(chance.random()))
            toned()

        cases: dict[str, Callable[[], None]] = {
            "urgent sentence": lambda: bench.speaker.say(close, urgent=True),
            "its tone, then the sentence": toned,
            "the same, the synthesiser busy": busy,
        }
        ordinary = sentences[-1]
        for name, urgent in cases.items():
            rounds = [
                one_round(bench, ordinary, chance.uniform(0.1, 0.8), urgent)
                for _ in range(given.rounds)
            ]
            show(f"{name}: first sample", [first for first, _, _ in rounds])
            show(f"{name}: ordinary ends", [ended for _, ended, _ in rounds])
            ours = [first for first, _, late in rounds if not late]
            if len(ours) < len(rounds):
                show("    first sample, machine never late", ours)
        bench.close()


if __name__ == "__main__":
    main()

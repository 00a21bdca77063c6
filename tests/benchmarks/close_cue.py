"""How late the close cue is with a blocked disk and a busy recogniser.

    .venv/bin/python tests/benchmarks/close_cue.py --seed 1 --rounds 20

The real loop on the real clock, brought to the word "open" of a typed rehearsal; then
every write to the journal blocks for two seconds, and the bundled recogniser decodes
without a pause in its process. Printed is the time from the moment the engine asked to
be woken at until the close sentence, the lamp and the tone had been handed over.
"""

import argparse
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from companion.job.engine import next_deadline
from companion.job.evolve import fold
from companion.job.facts import Fact, OpenCalled
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.state import Job
from companion.shell.arrivals import Inbox, Written
from companion.shell.clock import SystemClock
from companion.shell.journal import FILE, Journal
from companion.shell.knowing import read_know
from companion.shell.live import Live, LiveStage
from companion.shell.loop import Loop
from companion.shell.record import WriterRecord
from companion.shell.rehearsal.run import rehearse
from companion.shell.rehearsal.scenario import read_scenario
from companion.shell.wording import Line, read_wording
from speech import NumberRange, Vocabulary
from speech.engines import open_engine
from speech.segmenter import Segment


class SlowJournal(Journal):
    """A journal on a card that stalls for two seconds at every write."""

    def append(self, job: str, facts: Sequence[Fact]) -> None:
        """Stall, then write."""
        time.sleep(2.0)
        super().append(job, facts)


class TimedStage(LiveStage):
    """Notes when each part of the close cue was handed over."""

    def __init__(self) -> None:
        self.at: dict[str, float] = {}

    def say(self, at: float, cue: Say, line: Line) -> None:  # noqa: ARG002
        if cue.cue.startswith("close-"):
            self.at.setdefault("say", time.monotonic())

    def light(self, at: float, light: Light) -> None:  # noqa: ARG002
        if light.urgent:
            self.at.setdefault("light", time.monotonic())

    def tone(self, at: float, tone: Tone) -> None:  # noqa: ARG002
        if tone.urgent:
            self.at.setdefault("tone", time.monotonic())

    def ask(self, at: float, ask: Ask, job: Job) -> None:
        pass


def opened_job(seed: int) -> list[Fact]:
    """Give the facts of a job up to the word "open"."""
    with tempfile.TemporaryDirectory() as folder:
        rehearse(
            read_scenario("liquid-orifice"),
            know=read_know(),
            wording=read_wording("us"),
            seed=seed,
            folder=Path(folder),
        )
        journal = Journal(Path(folder) / FILE, SystemClock())
        facts = list(journal.facts(journal.jobs()[-1]))
        journal.close()
    first = next(n for n, fact in enumerate(facts) if isinstance(fact, OpenCalled))
    return facts[: first + 1]


def main() -> None:
    """Run the rounds and print the lateness."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=10)
    given = parser.parse_args()
    facts = opened_job(given.seed)
    engine = open_engine("pocketsphinx")
    random = np.random.default_rng(given.seed)
    sound = (random.standard_normal(40_000) * 3000).astype(np.int16)
    numbers = Vocabulary(numbers=NumberRange(low=0, high=700, units=("psi",)))
    segment = Segment(samples=sound, noise_before=sound[:16_000], begin=0, end=2.5)
    for _ in range(4):
        engine.submit(segment, numbers)
    late: dict[str, list[float]] = {"say": [], "light": [], "tone": []}
    for _ in range(given.rounds):
        for part, seconds in one_round(facts, engine, segment, numbers).items():
            late[part].append(seconds)
    engine.close()
    for part, times in late.items():
        print(
            f"close {part:5}: median {statistics.median(times) * 1000:6.1f} ms after its "
            f"deadline, worst {max(times) * 1000:6.1f} ms, of {len(times)}"
        )


def one_round(facts, engine, segment, numbers):
    """Let one opening run into its close call."""
    clock, stage = SystemClock(), TimedStage()
    job = fold(facts)
    due = next_deadline(job)
    assert due is not None
    inbox = Inbox()
    with tempfile.TemporaryDirectory() as folder:
        journal = SlowJournal(Path(folder) / FILE, clock)
        record = WriterRecord(journal, lambda: inbox.put(Written()))
        loop = Loop(
            know=read_know(),
            wording=read_wording("us"),
            record=record,
            stage=stage,
            job=job,
        )
        record.write("busy", facts[:1])
        live = Live(
            loop=loop,
            clock=clock,
            stage=stage,
            listeners=(),
            speaker=None,
            panel=None,
            inbox=inbox,
        )
        live._start = clock.now() - (due - 0.5)  # half a second to the deadline
        moment = live._start + due
        while not stage.at:
            engine.submit(segment, numbers)
            live._round()
        live._sentinel.close()
        while len(stage.at) < 3:
            live._round()
        record.close()
    return {part: at - moment for part, at in stage.at.items()}


if __name__ == "__main__":
    main()

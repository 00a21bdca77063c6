"""That no opening is left past its limit: ten thousand of them, with random hands.

    .venv/bin/python tests/benchmarks/openings.py --openings 10000 --seed 1

Simulated units are brought to the word "ready" by spoken answers; from there on each of
many openings goes its own way: a technician who says nothing at all, calls out rising
or odd pressures, reports late or never, asks for the call, or hears a knock, with or
without a sensor. Printed is how late the first close call came after the earliest of
its limits, how long the gaps between repeated calls were, and whether anything but the
word "closed" ended one. Every step is a tenth of a second.
"""

import argparse
import math
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from coached_site import SHOWN, Crew, Site, Stage, close_calls, know_and_wording
from coaching import LIQUID, VAPOR

from companion.job.facts import Fact
from companion.job.inputs import Pressed, Sampled, Ticked
from companion.job.listening import expected_now
from companion.job.questions import base_key
from companion.job.state import Closed, Job
from companion.knowledge.quantities import GaugePressure
from companion.shell.loop import Loop
from companion.shell.record import NoRecord
from companion.shell.rig.fleet import random_spec
from companion.shell.translate import heard
from speech import Heard as Sound
from speech import digits_spoken

TICK_S = 0.1
LONGEST_S = 400.0
OPENINGS_A_RIG = 40
HABITS = ("silent", "calls", "calls", "wild", "sensor", "asks", "noise", "late")


@dataclass(kw_only=True)
class Tally:
    """What was found over all openings."""

    late_s: list[float] = field(default_factory=list)
    gaps_s: list[float] = field(default_factory=list)
    over_s: list[float] = field(default_factory=list)
    unclosed: int = 0
    ended_unasked: int = 0
    reasons: Counter[str] = field(default_factory=Counter)
    longest_s: float = 0.0


def ready_job(seed: int) -> tuple[Job, float] | None:
    """Bring a simulated unit to the word "ready"; None where nothing is to be added."""
    group = VAPOR if seed % 4 == 0 else LIQUID
    spec = random_spec(seed, refrigerant=group[seed % len(group)])
    site = Site(spec, Crew(scale=seed % 3 == 0, misreads=0.0))
    site.prepare()
    at = site.offset
    for _ in range(40):
        job = site.loop.job
        key = job.asked.key if job.asked is not None else ""
        if key.startswith("ready#"):
            return job, at
        if job.charging_ended is not None or job.halted is not None:
            return None
        at += 3.0
        if job.pending is not None:
            site._hear(at, "affirmative")
        else:
            value = getattr(site.rig.gauges(), SHOWN[base_key(key)])
            site._hear(at, digits_spoken(Decimal(round(value))))
    return None


class Opening:
    """One opening from a job that waits for "ready"."""

    def __init__(self, job: Job, at: float, draw: random.Random) -> None:
        self.know, self.wording = know_and_wording()
        self.facts: list[Fact] = []
        self.at, self.draw = at, draw
        self.loop = Loop(
            know=self.know,
            wording=self.wording,
            record=NoRecord(),
            stage=Stage(),
            job=job,
            seen=lambda _, facts: self.facts.extend(facts),
        )
        self.over_at: float | None = None

    def hear(self, words: str) -> None:
        """Give words, heard surely."""
        sound = Sound(
            words=words, confidence=1, sure=True, engine="typed", begin=0, end=0
        )
        names = self.know.knowledge.catalogue.designations
        expects = expected_now(self.loop.job)
        self.loop.step(heard(self.at, sound, expects, self.wording, names))

    def play(self) -> None:  # noqa: C901 - one opening, told in order
        """Say ready, go through the opening, and close it at some time."""
        self.at += self.draw.uniform(1.5, 60.0)
        self.hear("i am ready")
        if isinstance(self.loop.job.valve, Closed):
            return
        acts = self._acts(self.draw.choice(HABITS))
        due, act = next(acts, (LONGEST_S, ""))
        begun, called = self.at, False
        closes_at = LONGEST_S
        while not isinstance(self.loop.job.valve, Closed):
            waits = self.loop.deadline
            soonest = min(due, closes_at, LONGEST_S)
            if waits is not None:
                soonest = min(soonest, waits - begun)
            # Nothing happens before that: go there in one, on the grid of the steps.
            steps = max(1, math.ceil((begun + soonest - self.at) / TICK_S - 1e-6))
            self.at = round(self.at + steps * TICK_S, 3)
            gone = self.at - begun
            if gone > LONGEST_S:
                break
            while gone >= due:
                self._do(act)
                due, act = next(acts, (LONGEST_S, ""))
            waits = self.loop.deadline
            if waits is not None and waits <= self.at + 1e-9:
                self.loop.step(Ticked(at=self.at))
            if not called and any(each.kind == "close-called" for each in self.facts):
                called = True
                closes_at = gone + self.draw.choice((1.5, 3.0, 5.0, 20.0, 90.0))
            if called and gone >= closes_at:
                closes_at = gone + 3.0
                if self.draw.random() < 0.7:
                    self.hear("valve closed")
                else:
                    self.loop.step(Pressed(at=self.at, button="closed"))

    def _do(self, act: str) -> None:
        valve = self.loop.job.valve
        top = self._top()
        if act.startswith("psi "):
            value = float(act[4:])
            if top is not None and value >= top and self.over_at is None:
                self.over_at = self.at
            if valve.kind in ("opening", "open"):
                self.hear(digits_spoken(Decimal(round(value))))
        elif act.startswith("sense "):
            value = float(act[6:])
            if top is not None and value >= top and self.over_at is None:
                self.over_at = self.at
            seen = {"suction-pressure": GaugePressure.from_psi(value)}
            self.loop.step(Sampled(at=self.at, readings=seen))
        elif act and valve.kind in ("opening", "open"):
            self.hear(act)

    def _top(self) -> float | None:
        for fact in self.facts:
            if fact.kind == "open-called" and fact.ceiling is not None:
                return GaugePressure(fact.ceiling.si).psi
        return None

    def _base(self) -> float:
        for fact in self.facts:
            if fact.kind == "open-called" and fact.base is not None:
                return GaugePressure(fact.base.si).psi
        return 100.0

    def _acts(self, habit: str) -> Iterator[tuple[float, str]]:
        draw, base = self.draw, self._base()
        opened = draw.uniform(1.0, 5.0)
        if habit == "silent":
            return
        if habit == "late":
            yield draw.uniform(6.0, 20.0), "valve opened"
            return
        yield opened, "valve opened" if draw.random() < 0.8 else ""
        if habit == "asks":
            yield (
                opened + draw.uniform(0.5, 6.0),
                draw.choice(("close", "wait", "stop")),
            )
            return
        if habit == "noise":
            yield opened + draw.uniform(0.5, 6.0), "noise"
            return
        speed = draw.uniform(-0.5, 4.0)
        step = 0.3 if habit == "sensor" else 0.0
        word = "sense" if habit == "sensor" else "psi"
        after = opened
        for _ in range(400):
            after += step or draw.uniform(2.0, 4.5)
            value = base + speed * (after - opened) + draw.gauss(0.0, 0.8)
            if habit == "wild" and draw.random() < 0.3:
                value += draw.choice((-100.0, -10.0, 10.0, 30.0))
            yield after, f"{word} {max(0.0, value):.1f}"


def count(opening: Opening, tally: Tally) -> None:
    """Enter one opening."""
    facts: Sequence[Fact] = opening.facts
    if not any(each.kind == "open-called" for each in facts):
        return
    late, gaps, unclosed = close_calls(facts)
    tally.late_s += late
    tally.gaps_s += gaps
    tally.unclosed += unclosed
    called = next((f for f in facts if f.kind == "close-called"), None)
    if called is None:
        return
    tally.reasons[called.reason] += 1
    if opening.over_at is not None:
        tally.over_s.append(called.at - opening.over_at)
    begun = next(f.at for f in facts if f.kind == "open-called")
    tally.longest_s = max(tally.longest_s, called.at - begun)
    closed = [f for f in facts if f.kind == "close-reported"]
    tally.ended_unasked += sum(f.by not in ("typed", "button", "voice") for f in closed)


def main() -> None:
    """Play the openings and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--openings", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    draw = random.Random(f"openings {given.seed}")  # noqa: S311 - seeded
    tally, seed, begun = Tally(), given.seed, time.monotonic()
    while len(tally.late_s) < given.openings:
        found = ready_job(seed)
        seed += 1
        if found is None:
            continue
        for _ in range(min(OPENINGS_A_RIG, given.openings - len(tally.late_s))):
            opening = Opening(*found, draw)
            opening.play()
            count(opening, tally)
        passed = time.monotonic() - begun
        print(
            f"\r{len(tally.late_s)} openings in {passed:.0f} s", end="", file=sys.stderr
        )
    print(file=sys.stderr)
    late = max(tally.late_s)
    over = max(tally.over_s, default=0.0)
    print(f"openings {len(tally.late_s)}, units {seed - given.seed} (simulation)")
    print(f"  latest close call after its limit        {late:6.3f} s")
    print(
        f"  later than 0.1 s                         {sum(x > 0.1001 for x in tally.late_s):6d}"
    )
    print(f"  without a close call                     {tally.unclosed:6d}")
    print(
        f"  latest call after a pressure at the top  {over:6.3f} s of {len(tally.over_s)}"
    )
    print(f"  longest from the word to the call        {tally.longest_s:6.1f} s")
    print(
        f"  longest gap between close calls          {max(tally.gaps_s, default=0):6.2f} s of {len(tally.gaps_s)}"
    )
    print(f"  closing ended by anything but the word   {tally.ended_unasked:6d}")
    print("  why: " + ", ".join(f"{k} {n}" for k, n in tally.reasons.most_common()))


if __name__ == "__main__":
    main()

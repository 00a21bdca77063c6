"""Every sensor fault in every state of an opening, through simulated pins; and more.

    .venv/bin/python tests/benchmarks/fault_campaign.py --seed 1 [--quick]

Part 1 rides a rehearsal for each fault and state: the fault is put on the wire, the
program meets it as it would in a box. Printed is what was said first about it, how long
after the fault an open valve got its close call, and the longest time any opening was
left without a close call, counted from its own latest moment (negative is earlier): it
must never pass that moment by more than a second.

Part 2 kills or blocks the recogniser, the loudspeaker and the card while the valve is
open, on the real clock and with real processes. Part 3 takes the power away after each
fact of a job and looks at the first words after the restart, and at what was lost.
"""

import argparse
import os
import signal
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from companion.job.engine import decide
from companion.job.evolve import REACTION_S, fold
from companion.job.facts import (
    CloseCalled,
    DeviceWentMissing,
    Fact,
    OpenCalled,
    OpenReported,
    QuestionAsked,
    WaitStarted,
)
from companion.job.inputs import Resumed
from companion.job.know import Know
from companion.job.outputs import Say
from companion.job.state import Closed, Closing, Job
from companion.shell.arrivals import Found, Inbox, Ready, Written
from companion.shell.clock import SystemClock
from companion.shell.fixed_cues import fixed_sentences
from companion.shell.journal import FILE, Journal, JournalError
from companion.shell.knowing import read_know
from companion.shell.live import Live, LiveStage
from companion.shell.loop import Loop
from companion.shell.record import WriterRecord
from companion.shell.rehearsal.box import SimulatedBox, WireFault
from companion.shell.rehearsal.ride import Mischief
from companion.shell.rehearsal.run import rehearse
from companion.shell.rehearsal.scenario import read_scenario
from companion.shell.wording import Wording, read_wording
from hardware import open_board
from speech.engines import open_engine
from speech.players import LastingPlayer
from speech.ports import DeviceError
from speech.pyttsx3_speaker import Pyttsx3Speaker
from speech.sound import Sound
from speech.stream_listener import StreamListener
from speech.voice import Voice

SCENARIO = "liquid-orifice"
CUES = Path(tempfile.gettempdir()) / f"close-cues-{os.getpid()}"
"""Close calls rendered ahead, as the program does; shared by all rounds."""
WATCHED_S = 100.0
"""A ride goes on for so long after the fault [s of job time]."""


def _first(kind: type, key: str = "") -> Callable[[Fact], bool]:
    def comes(fact: Fact) -> bool:
        return isinstance(fact, kind) and getattr(fact, "key", "").startswith(key)

    return comes


STATES: dict[str, tuple[Callable[[Fact], bool], float]] = {
    "asked whether ready": (_first(QuestionAsked, "ready#1"), 0.3),
    "called open": (_first(OpenCalled), 0.3),
    "just open": (_first(OpenReported), 0.1),
    "open for 2 s": (_first(OpenReported), 2.0),
    "called closed": (_first(CloseCalled), 0.3),
    "settling": (_first(WaitStarted), 5.0),
    "asked for suction": (_first(QuestionAsked, "suction-pressure@1"), 0.05),
}
FAULTS: tuple[tuple[str, WireFault], ...] = (
    ("suction-pressure", "open"),
    ("suction-pressure", "short"),
    ("suction-pressure", "freeze"),
    ("suction-pressure", "jump"),
    ("suction-pressure", "gone"),
    ("cylinder-weight", "gone"),
)


def main() -> None:
    """Run the three parts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--fault", help="this fault only, and only part 1")
    parser.add_argument("--quick", action="store_true", help="three faults and states")
    given = parser.parse_args()
    know, wording = read_know(), read_wording("us")
    faults, states = FAULTS, STATES
    if given.quick:
        faults = (FAULTS[0], FAULTS[3], FAULTS[4])
        states = {name: STATES[name] for name in ("called open", "open for 2 s")}
    if given.fault:
        faults = tuple(each for each in FAULTS if each[1] == given.fault)
    worst, lost = -1e9, 0
    print(
        f"{'fault':22} {'state':20} {'said':9} {'close call':>11} "
        f"{'past its moment':>16} {'facts lost':>10}"
    )
    for reading, fault in faults:
        for state in states:
            row = sensor_row(reading, fault, state, know, wording, given.seed)
            worst, lost = max(worst, row[0]), lost + row[1]
    print(f"worst past its own latest moment {worst:+.1f} s; facts lost {lost}")
    if given.fault:
        return
    opened = facts_until(_first(OpenReported), know, wording, given.seed)
    for name, harm in HARMS.items():
        process_row(name, harm, opened, know, wording)
    power_rows(know, wording, given.seed)


def sensor_row(
    reading: str,
    fault: WireFault,
    state: str,
    know: Know,
    wording: Wording,
    seed: int,
) -> tuple[float, int]:
    """Ride with one fault; print its row, give lateness and facts lost."""
    box = SimulatedBox(seed=seed)
    when, after = STATES[state]
    struck: list[float] = []
    trigger: list[float] = []

    def watch(fact: Fact) -> bool:
        if when(fact):
            trigger.append(fact.at)
            return True
        return False

    def strike(hit: SimulatedBox) -> None:
        struck.append(trigger[0] + after)
        hit.damage(reading, fault)

    with tempfile.TemporaryDirectory() as folder:
        rehearse(
            read_scenario(SCENARIO),
            know=know,
            wording=wording,
            seed=seed,
            folder=Path(folder),
            box=box,
            mischief=(Mischief(when=watch, after=after, do=strike),),
            until=lambda job: bool(struck) and job.at > struck[0] + WATCHED_S,
        )
        journal = Journal(Path(folder) / FILE, SystemClock())
        facts = journal.facts(journal.jobs()[-1])
        numbers = [row[0] for row in journal._db.execute("select seq from facts")]
        journal.close()
    box.close()
    gaps = numbers[-1] - len(numbers)
    said = next(
        (
            f"{each.reason}"
            for each in facts
            if isinstance(each, DeviceWentMissing) and each.at >= struck[0]
        ),
        "-",
    )
    late = lateness(facts)
    call = close_after(facts, struck[0])
    shown = f"{call:.1f} s" if call is not None else "not open"
    print(
        f"{f'{reading} {fault}':22} {state:20} {said:9} {shown:>11} "
        f"{late:>+14.1f} s {gaps:>10}"
    )
    return late, gaps


def lateness(facts: Sequence[Fact]) -> float:
    """Give how far past its latest moment the latest close call came [s]."""
    worst = -1e9
    called: OpenCalled | None = None
    for fact in facts:
        if isinstance(fact, OpenCalled):
            called = fact
        elif isinstance(fact, CloseCalled) and called is not None:
            latest = called.at + REACTION_S + called.limit_s
            worst = max(worst, fact.at - latest)
            called = None
    if called is not None:
        worst = max(worst, facts[-1].at - called.at - REACTION_S - called.limit_s)
    return worst


def close_after(facts: Sequence[Fact], struck: float) -> float | None:
    """Give the time from a fault to the close call, if the valve counted as open."""
    if isinstance(fold(each for each in facts if each.at <= struck).valve, Closed):
        return None
    calls = [
        each.at - struck
        for each in facts
        if isinstance(each, CloseCalled) and each.at >= struck
    ]
    return calls[0] if calls else None


def facts_until(
    last: Callable[[Fact], bool], know: Know, wording: Wording, seed: int
) -> list[Fact]:
    """Give the facts of a rehearsal up to the first of a kind."""
    with tempfile.TemporaryDirectory() as folder:
        rehearse(
            read_scenario(SCENARIO),
            know=know,
            wording=wording,
            seed=seed,
            folder=Path(folder),
            until=lambda job: bool(job.pulses),
        )
        journal = Journal(Path(folder) / FILE, SystemClock())
        facts = list(journal.facts(journal.jobs()[-1]))
        journal.close()
    end = next(number for number, fact in enumerate(facts) if last(fact))
    return facts[: end + 1]


class HarmedJournal(Journal):
    """A card that can be told to stall or to be full."""

    stall_s = 0.0
    full = False

    def append(self, job: str, facts: Sequence[Fact]) -> None:
        """Stall, fail or write."""
        time.sleep(self.stall_s)
        if self.full:
            raise JournalError("the disk is full")
        super().append(job, facts)


class TimedPlayer:
    """A loudspeaker of no sound: notes when each sound was queued."""

    def __init__(self) -> None:
        self.broken = False
        self.queued: list[float] = []

    def arm(self) -> None:
        """Do nothing."""

    def play(self, sound: Sound) -> None:  # noqa: ARG002 - only its time counts
        """Note the time."""
        if self.broken:
            raise DeviceError("the headset is out")
        self.queued.append(time.monotonic())

    def cut(self) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class Bench:
    """The live program around an opened job: real processes, no sound card."""

    def __init__(
        self, facts: Sequence[Fact], know: Know, wording: Wording, folder: Path
    ) -> None:
        clock = SystemClock()
        job = fold(facts)
        self.inbox = Inbox()
        self.out = TimedPlayer()
        self.engine = open_engine("pocketsphinx", ready=lambda: self.inbox.put(Ready()))
        self.engine.revived = lambda: self.inbox.put(Found(device="recogniser"))
        self.listener = StreamListener(self.engine)
        player = LastingPlayer(
            lambda: self.out, lambda: self.inbox.put(Found(device="speaker")), 1.0
        )
        self.voice = Voice(folder=CUES)
        self.voice.prepare(
            each for each in fixed_sentences(wording, know) if "lose the valve" in each
        )
        self.speaker = Pyttsx3Speaker(
            self.voice, player, lambda _: self.inbox.put(Ready()), self.inbox.put
        )
        self.board = open_board("simulated")
        panel = self.board.panel(self.inbox.put)
        self.journal = HarmedJournal(folder / FILE, clock)
        self.journal.append(job.id, facts)
        self.record = WriterRecord(self.journal, lambda: self.inbox.put(Written()))
        stage = LiveStage(
            screen=open(os.devnull, "w"),  # noqa: SIM115, PTH123 - closed with us
            speaker=self.speaker,
            panel=panel,
            listeners=(self.listener,),
            wording=wording,
            know=know,
        )
        self.loop = Loop(
            know=know, wording=wording, record=self.record, stage=stage, job=job
        )
        self.live = Live(
            loop=self.loop,
            clock=clock,
            stage=stage,
            listeners=(self.listener,),
            speaker=self.speaker,
            panel=panel,
            inbox=self.inbox,
        )

    def begin_now(self) -> None:
        """Let the job's time go on from now, after what had to be set up."""
        self.live._start = time.monotonic() - self.loop.job.at

    def rounds(self, seconds: float, done: Callable[[Job], bool]) -> float | None:
        """Go round until the job is so, at most for ``seconds``; give how long [s]."""
        begin = time.monotonic()
        while time.monotonic() - begin < seconds:
            self.inbox.put(Ready())
            self.live._round()
            if done(self.loop.job):
                return time.monotonic() - begin
            time.sleep(0.01)
        return None

    def close(self) -> None:
        """Let everything go."""
        self.live._sentinel.close()
        self.journal.stall_s, self.journal.full = 0.0, False
        self.listener.close()
        self.record.close()
        self.speaker.close()
        self.board.close()


def kill_recogniser(bench: Bench) -> None:
    """End the recogniser's process."""
    pid = bench.engine.process_id
    if pid is not None:
        os.kill(pid, signal.SIGKILL)


def kill_synthesiser(bench: Bench) -> None:
    """End the synthesiser's process."""
    pid = bench.voice._child.process_id
    with suppress(ProcessLookupError):
        if pid is not None:
            os.kill(pid, signal.SIGKILL)


def pull_headset(bench: Bench) -> None:
    """Pull the headset; it is plugged in again after four seconds."""
    bench.out.broken = True
    bench.speaker.say(
        "Close the valve."
    )  # rendered ahead: it meets the headset at once
    threading.Timer(4.0, lambda: setattr(bench.out, "broken", False)).start()


def fill_disk(bench: Bench) -> None:
    """Let every write fail."""
    bench.journal.full = True
    bench.record.retry()
    bench.loop.record.write(bench.loop.job.id, ())


def slow_disk(bench: Bench) -> None:
    """Let every write take five seconds."""
    bench.journal.stall_s = 5.0


HARMS: dict[str, Callable[[Bench], None]] = {
    "recogniser killed": kill_recogniser,
    "synthesiser killed": kill_synthesiser,
    "headset out for 4 s": pull_headset,
    "disk full": fill_disk,
    "disk slow by 5 s": slow_disk,
}


def process_row(
    name: str,
    harm: Callable[[Bench], None],
    facts: Sequence[Fact],
    know: Know,
    wording: Wording,
) -> None:
    """Harm the program with the valve open; print what came of it."""
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(facts, know, wording, Path(folder))
        bench.engine.settle(0.1)
        bench.rounds(2.0, lambda job: isinstance(job.valve, Closing))
        already = isinstance(bench.loop.job.valve, Closing)
        harm(bench)
        begin = time.monotonic()
        waited = bench.rounds(40.0, lambda job: isinstance(job.valve, Closing))
        reason = getattr(bench.loop.job.valve, "reason", "-")
        bench.rounds(1.0, lambda _: False)
        sounds = [at - begin for at in bench.out.queued if at > begin]
        missing = ", ".join(sorted(bench.loop.job.missing)) or "-"
        back = bench.rounds(12.0, lambda job: not job.missing)
        bench.close()
        journal = Journal(Path(folder) / FILE, SystemClock())
        kept = fold(journal.facts(bench.loop.job.id))
        journal.close()
    same = kept == bench.loop.job
    call = "before" if already else f"{waited:.2f} s" if waited is not None else "none"
    sound = f"{sounds[0]:.2f} s" if sounds else "panel only"
    print(
        f"{name:20} close call after {call} ({reason}), sound {sound}; missing: "
        f"{missing}; all back: {'yes' if back is not None else 'no'}; record "
        f"{'whole' if same else 'NOT WHOLE'}"
    )


def power_rows(know: Know, wording: Wording, seed: int) -> None:
    """Take the power away after each fact; print the first words and what was lost."""
    with tempfile.TemporaryDirectory() as folder:
        rehearse(
            read_scenario(SCENARIO),
            know=know,
            wording=wording,
            seed=seed,
            folder=Path(folder),
        )
        journal = Journal(Path(folder) / FILE, SystemClock())
        facts = journal.facts(journal.jobs()[-1])
        journal.close()
        first: dict[str, int] = {}
        unsafe = lost = 0
        path = Path(folder) / "cut" / FILE
        cut = Journal(path, SystemClock(), durable=False)
        for number, fact in enumerate(facts, start=1):
            cut.append("j", (fact,))
            if number % 25 == 0 or isinstance(fact, OpenCalled):
                again = Journal(path, SystemClock(), durable=False)
                lost += number - len(again.facts("j"))
                again.close()
            job = fold(facts[:number])
            if job.finished:
                continue
            decision = decide(job, Resumed(at=job.at + 60), know)
            words = [each.cue for each in decision.outputs if isinstance(each, Say)]
            first[words[0]] = first.get(words[0], 0) + 1
            open_ = not isinstance(job.valve, Closed)
            unsafe += open_ and not words[0].startswith("close-")
        cut.close()
    told = ", ".join(f"{cue} {count}" for cue, count in sorted(first.items()))
    print(
        f"power lost after each of {len(facts)} facts: first words {told}; open valve "
        f"without a close call {unsafe}; facts lost {lost}"
    )


if __name__ == "__main__":
    main()

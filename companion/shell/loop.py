"""One queue, one loop, one clock, one journal.

What comes out of the source becomes one input; the engine decides; urgent outputs go
out at once; the facts are handed to the record and folded; ordinary outputs follow
when their facts are written. The loop never waits for the card and never longer than
the engine's next deadline.
"""

import logging
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from companion.job.deadlines import only_silence
from companion.job.engine import decide, next_deadline
from companion.job.evolve import fold
from companion.job.facts import Fact
from companion.job.inputs import DeviceFound, DeviceLost, Input, Ticked
from companion.job.know import Know
from companion.job.outputs import Ask, Light, Output, Say, Tone
from companion.job.state import Job
from companion.shell.record import Record
from companion.shell.wording import Line, Wording

log = logging.getLogger(__name__)

RETRY_S = 2.0
"""A record that cannot be written is tried again this often [s]."""
FAULT_REPEAT_S = 2.0
"""After a fault of the program the close call is repeated this often [s]."""


PATIENCE_S = 12.0
"""Nobody is called silent before this long after the companion's own words [s]. Our
own value."""


class Stage(Protocol):
    """Performs outputs: the speaker and panel, a screen, or a simulated world."""

    def say(self, at: float, cue: Say, line: Line) -> None:
        """Say a sentence; an urgent one cuts what is being said."""

    def light(self, at: float, light: Light) -> None:
        """Show a pattern on a lamp."""

    def tone(self, at: float, tone: Tone) -> None:
        """Sound a pattern."""

    def ask(self, at: float, ask: Ask, job: Job) -> None:
        """Listen for an expectation from now on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Ordinary outputs that wait for their facts to be written."""

    ticket: int
    at: float
    outputs: tuple[Output, ...]


class Loop:
    """The engine with its record and its stage; see the module's text.

    Attributes
    ----------
    job
        The job as it stands.
    faulted
        True after a fault of the program: nothing opens until a restart.
    """

    def __init__(
        self,
        *,
        know: Know,
        wording: Wording,
        record: Record,
        stage: Stage,
        job: Job | None = None,
        seen: Callable[[float, Sequence[Fact]], None] | None = None,
    ) -> None:
        self.know = know
        self.wording = wording
        self.record = record
        self.stage = stage
        self.job = Job() if job is None else job
        self.faulted = False
        self._seen = seen
        self._held: deque[Held] = deque()
        self._retry_at: float | None = None
        self._fault_at: float | None = None

    @property
    def deadline(self) -> float | None:
        """The moment the loop must be woken at the latest, or None."""
        if self.faulted:
            return self._fault_at
        moments = (next_deadline(self.job), self._retry_at)
        return min((each for each in moments if each is not None), default=None)

    @property
    def patient(self) -> bool:
        """True while the loop is only to be woken because nobody answers."""
        return not self.faulted and self._retry_at is None and only_silence(self.job)

    def due(self, talked_at: float) -> float | None:
        """Give when the loop is woken: a silence counts from the last word said."""
        if self.deadline is None or not self.patient:
            return self.deadline
        return max(self.deadline, talked_at + PATIENCE_S)

    @property
    def holding(self) -> bool:
        """True while ordinary outputs wait for their facts to be written."""
        return bool(self._held)

    @property
    def record_changed(self) -> bool:
        """True when the record began to fail, or works again, unnoticed so far."""
        return (self.record.trouble is not None) != ("record" in self.job.missing)

    def step(self, event: Input) -> None:
        """Take one input through to its outputs."""
        if self.faulted:
            self._call_after_fault(event.at)
            return
        try:
            self._watch_record(event.at)
            self._decide(event)
        except Exception:  # the one broad except: whatever broke, the valve comes first
            log.exception("fault while deciding on %r", event)
            self.faulted = True
            self._call_after_fault(event.at)

    def _decide(self, event: Input) -> None:
        decision = decide(self.job, event, self.know)
        at = max(event.at, self.job.at)
        self._perform(at, [each for each in decision.outputs if each.urgent])
        self.job = fold(decision.facts, self.job)
        ticket = self.record.write(self.job.id, decision.facts)
        if self._seen is not None:
            self._seen(at, decision.facts)
        rest = tuple(each for each in decision.outputs if not each.urgent)
        if self.record.trouble is not None or "record" in self.job.missing:
            # What was to be said now would be stale when the card works again; the
            # engine puts the item that stands anew then.
            dropped = [each for held in self._held for each in held.outputs]
            self._held.clear()
            lamps = [each for each in (*dropped, *rest) if isinstance(each, Light)]
            self._perform(at, lamps)
            return
        self._held.append(Held(ticket=ticket, at=at, outputs=rest))
        self.release(at)

    def release(self, at: float) -> None:
        """Perform the ordinary outputs whose facts are written by now."""
        while self._held and self._held[0].ticket <= self.record.written:
            held = self._held.popleft()
            self._perform(max(at, held.at), held.outputs)

    def _perform(self, at: float, outputs: Sequence[Output]) -> None:
        """Perform outputs; voice, lamp and tone never depend on one another."""
        for output in outputs:
            try:
                self._perform_one(at, output)
            except Exception:  # the next output may be the one that counts
                log.exception("fault while performing %r", output)

    def _perform_one(self, at: float, output: Output) -> None:
        match output:
            case Say():
                self.stage.say(at, output, self.wording.line(output))
            case Light():
                self.stage.light(at, output)
            case Tone():
                self.stage.tone(at, output)
            case Ask():
                self.stage.ask(at, output, self.job)

    def _watch_record(self, at: float) -> None:
        """Notice a record that fails, try it again in time, and notice it mended."""
        trouble = self.record.trouble
        known = "record" in self.job.missing
        if trouble is not None:
            if self._retry_at is None or at >= self._retry_at:
                self._retry_at = at + RETRY_S
                self.record.retry()
            if not known:
                self._decide(DeviceLost(at=at, device="record", reason=trouble))
            return
        self._retry_at = None
        if known:
            self._held.clear()
            self._decide(DeviceFound(at=at, device="record"))

    def _call_after_fault(self, at: float) -> None:
        if self._fault_at is not None and at < self._fault_at:
            return
        self._fault_at = at + FAULT_REPEAT_S
        self._perform(
            at,
            (
                Say(cue="close-fault", urgent=True),
                Light(lamp="attention", pattern="fast", urgent=True),
                Tone(pattern="danger", urgent=True),
            ),
        )

    def wake(self, at: float) -> None:
        """Do what is due without any input."""
        self.step(Ticked(at=at))

"""The loop with the real clock: one queue that every device puts its records on."""

import contextlib
import queue
from collections.abc import Callable
from dataclasses import replace
from typing import Literal, TextIO, assert_never

from companion.job.inputs import (
    Begun,
    DeviceFound,
    DeviceLost,
    Input,
    Pressed,
    Resumed,
)
from companion.job.know import Know
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.state import Closed, Job
from companion.knowledge.quantities import AbsolutePressure
from companion.shell.arrivals import (
    Arrival,
    Found,
    Inbox,
    Ready,
    Sensed,
    Written,
    is_stop,
)
from companion.shell.clock import Clock
from companion.shell.loop import PATIENCE_S, Loop
from companion.shell.sensor_desk import SensorDesk
from companion.shell.sentinel import Sentinel
from companion.shell.signalling import Signalling
from companion.shell.signals import tone_before
from companion.shell.supervisor import NEVER, Supervisor
from companion.shell.translate import button_of, ear_vocabulary, heard
from companion.shell.wording import Line, Wording
from hardware import Panel, Power, SoundPattern
from hardware import Pressed as ButtonPressed
from speech import Heard as Sound
from speech import Listener, Lost, Pattern, Speaker
from speech.keywords import KeywordListener

SOUNDS: dict[str, SoundPattern] = {
    "information": "information",
    "caution": "caution",
    "danger": "danger",
}
"""The engine's patterns as the panel's."""
_DEVICE: dict[str, Literal["microphone", "recogniser", "speaker"]] = {
    "microphone": "microphone",
    "listener": "recogniser",
    "speaker": "speaker",
}
FAREWELL_S = 10.0
"""At the end the record is waited for at most this long [s]."""
PLACE_S = 1.2
"""The ear hears the noise of the place for so long before the first sentence [s]."""
ANSWERING_S = 6.0
"""An answer that has begun is let end before anything ordinary is said, for at most
this long [s]: a radio that never falls silent must not keep the companion silent."""
SETTLE_S = 0.2
"""The ear stays closed this long after the companion has spoken [s]."""
CLOSING_S = 8.0
"""On backup power a valve that is not closed yet is called for so long [s]; then the
companion says goodbye and ends: twenty seconds of hold-up must be enough for all."""


class LiveStage:
    """Performs outputs on a screen, a speaker, a panel and the listeners."""

    def __init__(
        self,
        *,
        screen: TextIO,
        speaker: Speaker | None,
        panel: Panel | None,
        listeners: tuple[Listener, ...],
        wording: Wording,
        know: Know,
    ) -> None:
        self._screen = screen
        self._speaker = speaker
        self._panel = panel
        self._signalling = None if panel is None else Signalling(panel)
        self._sounded: tuple[float, str] | None = None
        self._listeners = listeners
        self._wording = wording
        self._know = know
        self._alarming = False

    def say(self, at: float, cue: Say, line: Line) -> None:
        """Print a sentence, show and let feel its kind, sound its tone, speak it."""
        self._screen.write(f"{'!! ' if cue.urgent else ''}{line.text}\n")
        self._screen.flush()
        if self._signalling is not None:
            self._signalling.cue(cue)
        before = tone_before(cue)
        if before is None and not line.speech:
            before = "information"
        if before is not None:
            self._tone_once(at, before, urgent=cue.urgent)
        if self._speaker is not None and line.speech:
            echo = cue.cue.startswith("dial-")
            self._tell_what_is_said(line.speech)
            self._speaker.say(line.speech, urgent=cue.urgent, instead=echo)

    def _tone_once(self, at: float, pattern: Pattern, *, urgent: bool) -> None:
        """Sound a tone in the headset, once for one moment, before its sentence."""
        if self._speaker is not None and self._sounded != (at, pattern):
            self._sounded = (at, pattern)
            self._speaker.tone(pattern, urgent=urgent)

    def _tell_what_is_said(self, speech: str) -> None:
        """Keep the ear that is never closed from obeying the companion's own words."""
        for listener in self._listeners:
            if isinstance(listener, KeywordListener):
                listener.saying(speech)

    def light(self, at: float, light: Light) -> None:  # noqa: ARG002
        """Show a pattern on a lamp."""
        if self._signalling is not None:
            self._signalling.light(light)

    def calm(self) -> None:
        """End an alarm that was sounded for nobody's answer, or until "closed"."""
        if self._alarming and self._signalling is not None:
            self._alarming = False
            self._signalling.calm()

    def tone(self, at: float, tone: Tone) -> None:
        """Sound a pattern on the panel and in the headset."""
        self._alarming = tone.pattern == "danger"
        if self._signalling is not None:
            self._signalling.tone(SOUNDS[tone.pattern])
        if self._speaker is not None:
            self._tone_once(at, tone.pattern, urgent=tone.urgent)
        elif self._panel is None:
            self._screen.write("\a")

    def ask(self, at: float, ask: Ask, job: Job) -> None:  # noqa: ARG002
        """Listen for what is expected of the job as it stands."""
        due = ear_vocabulary(job, self._know, self._wording)
        for listener in self._listeners:
            listener.expect(due)

    def call(self) -> None:
        """Give the close call without the loop; for the sentinel."""
        cue = Say(cue="close-fault", urgent=True)
        self._sounded = None
        self.say(0, cue, self._wording.line(cue))
        self.light(0, Light(lamp="attention", pattern="fast", urgent=True))
        self.tone(0, Tone(pattern="danger", urgent=True))


def _nothing() -> None:
    pass


class Live:
    """Runs a loop on the real clock until its job is closed or nobody can answer.

    Parameters
    ----------
    sensed
        Names of the readings that sensors give.
    hush
        Drops the speaker's ordinary speech, when the technician wants to talk.

    Attributes
    ----------
    supply_gone
        True when it ended because the box is on backup power.
    """

    def __init__(
        self,
        *,
        loop: Loop,
        clock: Clock,
        stage: LiveStage,
        listeners: tuple[Listener, ...],
        speaker: Speaker | None,
        panel: Panel | None,
        inbox: Inbox,
        sensed: tuple[str, ...] = (),
        supervisor: Supervisor | None = None,
        hush: Callable[[], None] = _nothing,
    ) -> None:
        self._hush = hush
        self.supply_gone = False
        self._loop = loop
        self._clock = clock
        self._stage = stage
        self._listeners = list(listeners)
        self._speaker = speaker
        self._panel = panel
        self._queue = inbox
        self._desk = SensorDesk(sensed)
        self._alive = supervisor or Supervisor({})
        self._start = clock.now() - loop.job.at
        self._ear_opens_at = 0.0
        self._talked_at = -PATIENCE_S
        self._ear_shown: bool | None = None
        self._answering_since: float | None = None
        self._panel_due: float | None = None
        self._alive_due = NEVER
        self._leave_at: float | None = None
        self._sentinel = Sentinel(clock, stage.call, self._move_panel)
        inbox.on_stop = self._sentinel.demand

    def _now(self) -> float:
        return self._clock.now() - self._start

    def _move_panel(self, at: float) -> float | None:
        """Move the panel on to ``at`` on the clock, from the sentinel's thread."""
        if self._panel is None:
            return None
        change = self._panel.tick(at - self._start)
        return None if change is None else change + self._start

    def run(
        self, job_id: str, ambient: AbsolutePressure, *, known_voice: bool = False
    ) -> bool:
        """Go round until the job is closed; tell whether it is."""
        loop = self._loop
        if not loop.job.started:
            self._hear_the_place()  # after a restart the valve comes first
        try:
            if loop.job.started:
                loop.step(Resumed(at=self._now()))
            else:
                system = loop.wording.system
                loop.step(
                    Begun(
                        at=self._now(),
                        job=job_id,
                        ambient=ambient,
                        units=system,
                        known_voice=known_voice,
                    )
                )
            self._alive.ready("listening")
            while not (loop.job.finished or self._deserted() or self._must_leave()):
                self._round()
            self._end()
        finally:
            self._sentinel.close()
        return loop.job.finished

    def _hear_the_place(self) -> None:
        """Let the ear get used to the noise before the first word covers it."""
        if self._speaker is None:
            return
        limit = self._now() + PLACE_S
        kept: list[Arrival] = []
        while (left := limit - self._now()) > 0:
            with contextlib.suppress(queue.Empty):
                kept.append(self._queue.get(timeout=left))
        for arrival in kept:
            self._queue.put(arrival)

    def _end(self) -> None:
        """Say what still waits for the card, if it answers in time, and goodbye."""
        limit = self._now() + (FAREWELL_S if self._leave_at is None else SETTLE_S)
        while self._loop.holding and self._now() < limit:
            with contextlib.suppress(queue.Empty):
                self._queue.get(timeout=0.1)
            self._loop.release(self._now())
            self._alive.alive(self._now())
        if self._leave_at is not None:
            self.supply_gone = True
            goodbye = Say(cue="goodbye", urgent=True)
            self._stage.say(self._now(), goodbye, self._loop.wording.line(goodbye))

    def _has_ear(self) -> bool:
        """Tell whether answers can be heard; the ear for stop words takes none."""
        return any(not isinstance(each, KeywordListener) for each in self._listeners)

    def _deserted(self) -> bool:
        return not self._has_ear() and self._panel is None

    def _must_leave(self) -> bool:
        """Tell whether the supply is gone, and the valve closed or its time over."""
        if self._leave_at is None:
            return False
        return isinstance(self._loop.job.valve, Closed) or self._now() >= self._leave_at

    def _round(self) -> None:
        self._arm()
        for arrival in self._arrivals():
            self._take(arrival)
        self._listen()
        now = self._now()
        self._steps(self._desk.watch(now))
        due = self._loop.due(self._talked_at)
        if not self._answering(now):
            if due is not None and now >= due:
                self._loop.wake(now)
            self._loop.release(now)
        if self._panel is not None:
            self._panel_due = self._panel.tick(now)
        self._alive_due = self._alive.alive(now)

    def _answering(self, now: float) -> bool:
        """Tell whether the technician is speaking, and is to be let speak.

        Never while the valve is open: then the call to close comes first.
        """
        speaking = any(each.pending for each in self._listeners)
        if not speaking or not isinstance(self._loop.job.valve, Closed):
            self._answering_since = None
            return False
        if self._answering_since is None:
            self._answering_since = now
        return now - self._answering_since < ANSWERING_S

    def _arm(self) -> None:
        due = self._loop.deadline
        watching = due is not None and not isinstance(self._loop.job.valve, Closed)
        self._sentinel.arm(due + self._start if watching and due is not None else None)

    def _arrivals(self) -> list[Arrival]:
        """Wait for the first arrival, at most until something is due; take all."""
        moments = (
            self._loop.due(self._talked_at),
            self._panel_due,
            self._desk.due,
            self._leave_at,
        )
        dues = [self._alive_due, *(due for due in moments if due is not None)]
        if self._speaker is not None and self._speaker.talking:
            dues.append(self._now() + SETTLE_S)
        if self._answering_since is not None:
            dues = [max(due, self._now() + SETTLE_S) for due in dues]
        first = min(dues)
        wait = None if first == NEVER else max(0.0, first - self._now())
        found: list[Arrival] = []
        try:
            found.append(self._queue.get(timeout=wait))
            while True:
                found.append(self._queue.get_nowait())
        except queue.Empty:
            # A press counts before all that came with it.
            return sorted(found, key=lambda each: not is_stop(each))

    def _take(self, arrival: Arrival) -> None:  # noqa: C901 - one match, every arrival
        match arrival:
            case ButtonPressed(button=button, at_press="down"):
                self._press(button)
                if is_stop(arrival):
                    self._sentinel.obeyed()
            case Lost():
                self._lost(arrival)
            case Found(device=device):
                self._step(DeviceFound(at=self._now(), device=device))
            case Sensed():
                valve_open = not isinstance(self._loop.job.valve, Closed)
                now = self._now()
                self._steps(self._desk.take(arrival, now, valve_open=valve_open))
            case Power():
                self._supply(arrival)
            case Written():
                if self._loop.record_changed:
                    self._loop.wake(self._now())
            case Ready() | ButtonPressed():
                pass
            case _:
                assert_never(arrival)

    def _press(self, button: str) -> None:
        known = button_of(button)
        if known == "talk":
            self._hush()
        if known is not None:
            self._answered(Pressed(at=self._now(), button=known))

    def _answered(self, event: Input) -> None:
        """Take what the technician said or pressed: the alarm has been answered."""
        if isinstance(self._loop.job.valve, Closed):
            self._stage.calm()
        self._step(event)

    def _step(self, event: Input) -> None:
        was_open = not isinstance(self._loop.job.valve, Closed)
        self._loop.step(event)
        if was_open and isinstance(self._loop.job.valve, Closed):
            self._stage.calm()

    def _steps(self, events: list[Input]) -> None:
        for event in events:
            self._step(event)

    def _supply(self, power: Power) -> None:
        """Leave in time on backup power; without the engine only say so."""
        now = self._now()
        if power.backup:
            if self._leave_at is None:
                self._leave_at = now + CLOSING_S
                self._step(DeviceLost(at=now, device="supply", reason="it is gone"))
            return
        if self._leave_at is not None:
            self._leave_at = None
            self._step(DeviceFound(at=now, device="supply"))
        if not power.ignition:
            off = Say(cue="engine-off")
            self._stage.say(now, off, self._loop.wording.line(off))

    def _listen(self) -> None:
        """Mute the ear while the companion talks; take what was heard."""
        now = self._now()
        if self._speaker is not None and self._speaker.talking:
            self._ear_opens_at = now + SETTLE_S
            self._talked_at = now
        muted = now < self._ear_opens_at
        self._show_ear(open_=bool(self._listeners) and not muted)
        for listener in tuple(self._listeners):
            listener.mute(muted)
            for sound in listener.poll():
                if not isinstance(sound, Lost):
                    self._hear(sound)
                    continue
                self._lost(sound)
                if _is_typed(sound):
                    self._listeners.remove(listener)

    def _show_ear(self, *, open_: bool) -> None:
        """Light the lamp that says: speak now."""
        if self._panel is not None and open_ is not self._ear_shown:
            self._ear_shown = open_
            self._panel.show("listening", "lit" if open_ else "off")

    def _hear(self, sound: Sound) -> None:
        loop = self._loop
        names = loop.know.knowledge.catalogue.designations
        at = self._now()
        found = heard(at, sound, expected_now(loop.job), loop.wording, names)
        self._answered(replace(found, sensed=self._desk.latest(at)))

    def _lost(self, lost: Lost) -> None:
        device = "keyboard" if _is_typed(lost) else _DEVICE[lost.device]
        self._step(DeviceLost(at=self._now(), device=device, reason=lost.reason))


def _is_typed(lost: Lost) -> bool:
    """Tell whether the keyboard ended; unlike a recogniser it never comes again."""
    return lost.reason.startswith("the typed lines")

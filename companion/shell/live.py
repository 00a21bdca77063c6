"""The loop with the real clock: one queue that every device puts its records on."""

import contextlib
import queue
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TextIO, assert_never

from companion.job.inputs import (
    Begun,
    DeviceLost,
    Pressed,
    Resumed,
)
from companion.job.know import Know
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.state import Closed, Job
from companion.knowledge.quantities import AbsolutePressure
from companion.shell.clock import Clock
from companion.shell.loop import Loop
from companion.shell.sentinel import Sentinel
from companion.shell.translate import button_of, ear_vocabulary, heard
from companion.shell.wording import Line, Wording
from hardware import LampPattern, Panel, SoundPattern
from hardware import Pressed as ButtonPressed
from speech import Heard as Sound
from speech import Listener, Lost, Speaker
from speech.keywords import KeywordListener


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """The record's thread has done some work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A listener has something, or the speaker began or ended."""


Arrival = Written | Ready | ButtonPressed | Lost
_LAMP: dict[str, LampPattern] = {
    "off": "off",
    "steady": "lit",
    "blink": "slow",
    "fast": "fast",
}
_SOUND: dict[str, SoundPattern] = {
    "information": "information",
    "caution": "caution",
    "danger": "danger",
}
_DEVICE: dict[str, Literal["microphone", "recogniser", "speaker"]] = {
    "microphone": "microphone",
    "listener": "recogniser",
    "speaker": "speaker",
}
FAREWELL_S = 10.0
"""At the end the record is waited for at most this long [s]."""
PLACE_S = 1.2
"""The ear hears the noise of the place for so long before the first sentence [s]."""
SETTLE_S = 0.2
"""The ear stays closed this long after the companion has spoken [s]."""


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
        self._listeners = listeners
        self._wording = wording
        self._know = know

    def say(self, at: float, cue: Say, line: Line) -> None:  # noqa: ARG002
        """Print and speak a sentence."""
        self._screen.write(f"{'!! ' if cue.urgent else ''}{line.text}\n")
        self._screen.flush()
        if self._speaker is not None:
            self._tell_what_is_said(line.speech)
            self._speaker.say(line.speech, urgent=cue.urgent)

    def _tell_what_is_said(self, speech: str) -> None:
        """Keep the ear that is never closed from obeying the companion's own words."""
        for listener in self._listeners:
            if isinstance(listener, KeywordListener):
                listener.saying(speech)

    def light(self, at: float, light: Light) -> None:  # noqa: ARG002
        """Show a pattern on a lamp."""
        if self._panel is not None:
            self._panel.show(light.lamp, _LAMP[light.pattern])

    def tone(self, at: float, tone: Tone) -> None:  # noqa: ARG002
        """Sound a pattern on the panel and in the headset."""
        if self._panel is not None:
            self._panel.sound(_SOUND[tone.pattern])
        if self._speaker is not None:
            self._speaker.tone(tone.pattern)
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
        self.say(0, cue, self._wording.line(cue))
        self.light(0, Light(lamp="attention", pattern="fast", urgent=True))
        self.tone(0, Tone(pattern="danger", urgent=True))


class Live:
    """Runs a loop on the real clock until its job is closed or nobody can answer.

    ``put`` may be called from any thread.
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
        inbox: "queue.Queue[Arrival]",
    ) -> None:
        self._loop = loop
        self._clock = clock
        self._listeners = list(listeners)
        self._speaker = speaker
        self._panel = panel
        self._queue = inbox
        self._start = clock.now() - loop.job.at
        self._ear_opens_at = 0.0
        self._panel_due: float | None = None
        self._sentinel = Sentinel(clock, stage.call)

    def _now(self) -> float:
        return self._clock.now() - self._start

    def run(
        self, job_id: str, ambient: AbsolutePressure, *, known_voice: bool = False
    ) -> bool:
        """Go round until the job is closed; tell whether it is."""
        loop = self._loop
        self._hear_the_place()
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
            while not loop.job.finished and (self._has_ear() or self._has_buttons()):
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
        """Say what still waits for the card, if it answers in time."""
        limit = self._now() + FAREWELL_S
        while self._loop.holding and self._now() < limit:
            with contextlib.suppress(queue.Empty):
                self._queue.get(timeout=0.1)
            self._loop.release(self._now())

    def _has_ear(self) -> bool:
        """Tell whether answers can be heard; the ear for stop words takes none."""
        return any(not isinstance(each, KeywordListener) for each in self._listeners)

    def _has_buttons(self) -> bool:
        return self._panel is not None

    def _round(self) -> None:
        self._arm()
        for arrival in self._arrivals():
            self._take(arrival)
        self._listen()
        now = self._now()
        due = self._loop.deadline
        if due is not None and now >= due:
            self._loop.wake(now)
        self._loop.release(now)
        if self._panel is not None:
            self._panel_due = self._panel.tick(now)

    def _arm(self) -> None:
        due = self._loop.deadline
        watching = due is not None and not isinstance(self._loop.job.valve, Closed)
        self._sentinel.arm(due + self._start if watching and due is not None else None)

    def _arrivals(self) -> list[Arrival]:
        """Wait for the first arrival, at most until something is due; take all."""
        dues = [
            due for due in (self._loop.deadline, self._panel_due) if due is not None
        ]
        if self._speaker is not None and self._speaker.talking:
            dues.append(self._now() + SETTLE_S)
        wait = max(0.0, min(dues) - self._now()) if dues else None
        found: list[Arrival] = []
        try:
            found.append(self._queue.get(timeout=wait))
            while True:
                found.append(self._queue.get_nowait())
        except queue.Empty:
            return found

    def _take(self, arrival: Arrival) -> None:
        match arrival:
            case ButtonPressed(button=button, at_press="down"):
                known = button_of(button)
                if known is not None:
                    self._loop.step(Pressed(at=self._now(), button=known))
            case Lost():
                self._lost(arrival)
            case Written():
                if self._loop.record_changed:
                    self._loop.wake(self._now())
            case Ready() | ButtonPressed():
                pass
            case _:
                assert_never(arrival)

    def _listen(self) -> None:
        """Mute the ear while the companion talks; take what was heard."""
        now = self._now()
        if self._speaker is not None and self._speaker.talking:
            self._ear_opens_at = now + SETTLE_S
        muted = now < self._ear_opens_at
        for listener in tuple(self._listeners):
            listener.mute(muted)
            for sound in listener.poll():
                if isinstance(sound, Lost):
                    self._lost(sound)
                    self._listeners.remove(listener)
                else:
                    self._hear(sound)

    def _hear(self, sound: Sound) -> None:
        loop = self._loop
        names = loop.know.knowledge.catalogue.designations
        at = self._now()
        loop.step(heard(at, sound, expected_now(loop.job), loop.wording, names))

    def _lost(self, lost: Lost) -> None:
        typed = lost.reason.startswith("the typed lines")
        device = "keyboard" if typed else _DEVICE[lost.device]
        self._loop.step(DeviceLost(at=self._now(), device=device, reason=lost.reason))


Put = Callable[[Arrival], None]

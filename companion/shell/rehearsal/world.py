"""The simulated world: one time line for the site, the technician and the talk.

It is the stage on which the companion's outputs are performed, and the source of its
inputs. Time moves in tenths of a second, and only when the loop asks for what comes
next, so a rehearsal runs as fast as the machine allows and always the same way.
"""

from collections import deque
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol

from companion.job.facts import Fact
from companion.job.inputs import Button, Input, Pressed, Ticked
from companion.job.know import Know
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.state import Job
from companion.shell.rehearsal.conversation import Conversation
from companion.shell.rehearsal.ear import Ear
from companion.shell.rehearsal.fingers import PRESS_S, presses
from companion.shell.rehearsal.technician import Technician
from companion.shell.rig.rig import Rig
from companion.shell.translate import ear_vocabulary, heard
from companion.shell.wording import Line, Wording
from speech import Heard, Pattern

TICK_S = 0.1
URGENT_HEARD_S = 0.7
"""An urgent cue is understood this long after it begins: "close" is its first word."""
SAY_AGAIN_S = 7.0
"""A technician who gets no reaction says it again after this long."""

if TYPE_CHECKING:
    from companion.shell.rehearsal.box import SimulatedBox
    from companion.shell.rehearsal.ride import Mischief


class Mouth(Protocol):
    """The companion's voice in a rehearsal."""

    def say(self, at: float, speech: str) -> float:
        """Begin to say a sentence; give the moment it ends."""

    def cut(self, at: float) -> None:
        """Stop what is being said."""

    def tone(self, at: float, pattern: Pattern) -> float:
        """Sound a pattern; give the moment it ends."""


class SilentMouth:
    """Takes the time of speech without making any."""

    def say(self, at: float, speech: str) -> float:
        """Count the words."""
        return at + 0.36 * len(speech.split())

    def cut(self, at: float) -> None:
        """Do nothing."""

    def tone(self, at: float, pattern: Pattern) -> float:
        """Sound nothing for the time of a pattern."""
        return at + (0.5 if pattern == "danger" else 0.4)


class World:
    """See the module's text.

    Attributes
    ----------
    now
        Seconds since the rehearsal began.
    """

    def __init__(
        self,
        *,
        rig: Rig,
        technician: Technician,
        ear: Ear,
        mouth: Mouth,
        wording: Wording,
        know: Know,
        conversation: Conversation,
        buttons: bool = False,
    ) -> None:
        self.now = 0.0
        self._buttons = buttons
        self._presses: deque[tuple[float, Button]] = deque()
        self._rig = rig
        self._technician = technician
        self._ear = ear
        self._mouth = mouth
        self._wording = wording
        self._know = know
        self._names = know.knowledge.catalogue.designations
        self._listened_to: Job | None = None
        self._talk = conversation
        self._inbox: deque[Input] = deque()
        self._talking_until = 0.0
        self._expects: tuple[str, ...] = ("nothing",)
        self._said: tuple[float, str] | None = None
        self._coming: list[tuple[float, Heard]] = []
        self._job: Callable[[], Job] = Job

    def watch(self, job: Callable[[], Job]) -> None:
        """Let the world see which job stands, to know what is expected."""
        self._job = job

    # --- stage

    def say(self, at: float, cue: Say, line: Line) -> None:
        """Say a sentence after what is being said, or cutting it if urgent."""
        self._talk.line(at, "COMPANION", f"{'!! ' if cue.urgent else ''}{line.text}")
        self._said = None
        if cue.urgent and self._talking_until > at:
            self._mouth.cut(at)
            self._talking_until = at
        begin = max(at, self._talking_until)
        if line.speech:
            self._talking_until = self._mouth.say(begin, line.speech)
        else:
            self._talking_until = self._mouth.tone(begin, "information")
        heard_at = begin + URGENT_HEARD_S if cue.urgent else self._talking_until
        self._technician.hear(cue, heard_at, self._talking_until)

    def light(self, at: float, light: Light) -> None:
        """Note a lamp."""
        if light.pattern != "off":
            self._talk.line(at, "  lamp", f"{light.lamp} {light.pattern}")

    def tone(self, at: float, tone: Tone) -> None:
        """Sound a pattern."""
        self._talk.line(at, "  tone", tone.pattern)
        begin = max(at, self._talking_until)
        self._talking_until = self._mouth.tone(begin, tone.pattern)

    def ask(self, at: float, ask: Ask, job: Job) -> None:
        """Listen for an expectation; the technician hears the question end."""
        self._technician.ask(ask.expectation, job, max(at, self._talking_until))

    # --- source

    @property
    def talked_until(self) -> float:
        """When the companion's last word ends."""
        return self._talking_until

    def next(self, until: float | None) -> Input:
        """Give what comes next, or a tick at ``until``."""
        while not self._inbox:
            if until is not None and self.now >= until:
                return Ticked(at=self.now)
            self._advance()
        return self._inbox.popleft()

    def _advance(self) -> None:
        self.now = round(self.now + TICK_S, 1)
        self._rig.advance(TICK_S)
        self._listen_for()
        words = self._technician.tick(self.now)
        if not words:
            words = self._say_again()
        by_hand = self._buttons or self._technician.presses_now(self._job())
        if words and by_hand:
            self._press(words)
        elif words and not self._pressed(words):
            end = self._ear.begin(self.now, words)
            self._said = (end, words)
            self._talk.line(self.now, "TECHNICIAN", words)
        while self._presses and self._presses[0][0] <= self.now:
            self._inbox.append(Pressed(at=self.now, button=self._presses.popleft()[1]))
        talking = self.now < self._talking_until
        self._coming += self._ear.tick(self.now, talking=talking)
        while self._coming and self._coming[0][0] <= self.now:
            _, sound = self._coming.pop(0)
            self._talk.heard(self.now, sound)
            self._inbox.append(
                heard(self.now, sound, self._expects, self._wording, self._names)
            )

    def ride(self, box: "SimulatedBox", mischief: "Sequence[Mischief]" = ()) -> None:
        """Put a box in; only a world with buttons and sensors has room for one."""
        raise NotImplementedError(f"this world has no room for {box} and {mischief}")

    def facts(self, facts: Sequence[Fact]) -> None:
        """See what has happened; for worlds where something hangs on it."""

    def _pressed(self, words: str) -> bool:  # noqa: ARG002 - for worlds with buttons
        """Tell whether a button was pressed for these words; here there is none."""
        return False

    def _press(self, words: str) -> None:
        """Say by buttons what the words mean, one press after the other."""
        made = presses(self._job(), self._know, self._wording, words)
        if not made:
            return
        self._talk.line(self.now, "TECHNICIAN", f"presses {', '.join(made)}: {words}")
        self._presses.clear()
        self._presses += [
            (self.now + at * PRESS_S, button) for at, button in enumerate(made)
        ]

    def _listen_for(self) -> None:
        job = self._job()
        if job is not self._listened_to:
            self._listened_to = job
            self._expects = expected_now(job)
            self._ear.expect(ear_vocabulary(job, self._know, self._wording))

    def _say_again(self) -> str:
        """Say it again where the companion did not react."""
        if self._expects == ("waiting",):
            self._said = None  # nothing is due: the companion is quiet on purpose
        if self._said is None or self.now < self._said[0] + SAY_AGAIN_S:
            return ""
        words = self._said[1]
        self._said = None
        return words

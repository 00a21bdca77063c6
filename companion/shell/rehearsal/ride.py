"""A rehearsal through the box's own pins: presses, lamps, and sensors at 5 Hz.

The technician presses the confirm button wherever a yes, done, ready, open or closed is
due, and speaks the rest; the sensors answer what they can. Faults and presses of the
stop button can be laid on any moment of the job.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from companion.job.facts import Fact
from companion.job.inputs import Heard, Pressed
from companion.job.outputs import Light, Tone
from companion.job.state import Closed
from companion.shell.arrivals import Arrival
from companion.shell.live import SOUNDS
from companion.shell.rehearsal.box import SimulatedBox
from companion.shell.rehearsal.world import World
from companion.shell.sampling import EVERY_S
from companion.shell.sensor_desk import SensorDesk
from companion.shell.signalling import LAMPS
from companion.shell.translate import button_of
from hardware import Pressed as ButtonPressed

CONFIRMS = frozenset(
    {"affirmative", "all done", "i am ready", "flowing", "fully shut", "continue"}
)
"""Words for which the technician presses the confirm button instead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mischief:
    """Something done to the box ``after`` seconds from a moment of the job.

    ``when`` is asked after each step whether the moment has come; ``do`` does it.
    """

    when: Callable[[Fact], bool]
    after: float
    do: Callable[[SimulatedBox], None]


class Ride(World):
    """A world with a box in it; see :class:`World` for the rest.

    Attributes
    ----------
    shown
        Every lamp and tone that reached the panel, with its time.
    """

    def ride(self, box: SimulatedBox, mischief: Sequence[Mischief] = ()) -> None:
        """Put the box in; must be called before time moves."""
        self._box = box
        self._desk = SensorDesk(box.names)
        self._mischief = list(mischief)
        self._due: list[tuple[float, Mischief]] = []
        self._sample_at = 0.0
        self.shown: list[tuple[float, str]] = []

    def facts(self, facts: Sequence[Fact]) -> None:
        """See what has happened, for mischief that waits for it."""
        for fact in facts:
            for each in tuple(self._mischief):
                if each.when(fact):
                    self._mischief.remove(each)
                    self._due.append((self.now + each.after, each))

    def light(self, at: float, light: Light) -> None:
        """Show a lamp on the panel too."""
        super().light(at, light)
        self._box.panel.show(light.lamp, LAMPS[light.pattern])
        self.shown.append((at, f"{light.lamp} {light.pattern}"))

    def tone(self, at: float, tone: Tone) -> None:
        """Sound a pattern on the panel too."""
        super().tone(at, tone)
        self._box.panel.sound(SOUNDS[tone.pattern])
        self.shown.append((at, f"tone {tone.pattern}"))

    def _pressed(self, words: str) -> bool:
        if words not in CONFIRMS:
            return False
        self._talk.line(self.now, "TECHNICIAN", f"[confirm] ({words})")
        self._box.press("confirm")
        return True

    def _advance(self) -> None:
        before = len(self._inbox)
        super()._advance()
        for index in range(before, len(self._inbox)):
            event = self._inbox[index]
            if isinstance(event, Heard):
                seen = self._desk.latest(self.now)
                self._inbox[index] = replace(event, sensed=seen)
        for due, each in tuple(self._due):
            if self.now >= due:
                self._due.remove((due, each))
                each.do(self._box)
        self._box.panel.tick(self.now)
        for arrival in self._box.arrivals:
            self._arrive(arrival)
        self._box.arrivals.clear()
        if self.now + 1e-6 >= self._sample_at:
            self._sample_at += EVERY_S
            sensed = self._box.sample(self._rig, self.now)
            valve_open = not isinstance(self._job().valve, Closed)
            events = self._desk.take(sensed, self.now, valve_open=valve_open)
            self._inbox.extend(events)

    def _arrive(self, arrival: Arrival) -> None:
        if isinstance(arrival, ButtonPressed) and arrival.at_press == "down":
            known = button_of(arrival.button)
            if known is not None:
                self._inbox.append(Pressed(at=self.now, button=known))

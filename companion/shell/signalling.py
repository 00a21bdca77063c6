"""Show and let feel what is being said: lamp and vibration follow every cue.

The listening lamp is not driven here: it is lit while the ear is open.

The engine's own lamp and tone outputs are obeyed as they are; what is added here never
takes the attention lamp or the vibration of an open valve away.
"""

from companion.job.outputs import Light, Say
from companion.shell.signals import counted, kind_of, signal
from hardware import LampPattern, Panel, SoundPattern

LAMPS: dict[str, LampPattern] = {
    "off": "off",
    "steady": "lit",
    "blink": "slow",
    "fast": "fast",
}
"""The engine's lamp patterns as the panel's."""


class Signalling:
    """Drives a panel's lamps and vibration by the cues that go out."""

    def __init__(self, panel: Panel) -> None:
        self._panel = panel
        self._engine = False  # the attention lamp is lit by the engine: an open valve
        self._own = ""  # the cue for which it is lit from here
        self._danger = False  # true until the danger that repeats was ended

    def light(self, light: Light) -> None:
        """Show a pattern that the engine asks for; "off" ends a danger as well."""
        self._panel.show(light.lamp, LAMPS[light.pattern])
        if light.lamp == "attention":
            self._engine, self._own = light.pattern != "off", ""
            if light.pattern == "off":
                self._end_danger()

    def tone(self, pattern: SoundPattern) -> None:
        """Sound a pattern; nothing lesser takes a danger away that goes on."""
        self._danger = self._danger or pattern == "danger"
        if pattern == "danger" or not self._danger:
            self._panel.sound(pattern)

    def calm(self) -> None:
        """End an alarm: it was answered, or the valve was reported closed."""
        if self._danger:
            self._end_danger()
            self._panel.show("attention", "off")
            self._engine, self._own = False, ""

    def _end_danger(self) -> None:
        self._danger = False
        self._panel.sound("silent")

    def cue(self, say: Say) -> None:
        """Show and let feel what kind of thing is being said."""
        kind, found = kind_of(say.cue), signal(say.cue)
        self._end_own(say)
        if found.attention is not None and not self._engine and kind != "open":
            self._panel.show("attention", found.attention)
            self._own = say.cue
        digit = counted(say)
        if digit is not None:
            self._panel.count(digit)
        elif kind == "danger":
            self.tone("danger")
        elif kind == "caution":
            self.tone("caution")
        else:
            self._panel.feel(found.buzz)

    def _end_own(self, say: Say) -> None:
        """Let go of the attention lamp once what it was lit for is over."""
        if kind_of(say.cue) in ("danger", "caution"):
            return
        if say.cue == "closed-heard" or (self._own and not self._engine):
            self._panel.show("attention", "off")
            self._end_danger()
            self._own = ""

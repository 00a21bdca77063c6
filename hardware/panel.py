"""Four buttons in; two lamps, a sounder and a vibration motor out.

Blinking, holding and repeating follow the times handed to :meth:`GpioPanel.tick`,
never a thread of the device library, so that a rehearsal and a job behave alike. All
of it may be called from more than one thread: if the caller's loop hangs, its watch
takes the panel over.
"""

from collections.abc import Callable
from contextlib import ExitStack
from threading import RLock
from typing import Any, Literal

from gpiozero import DigitalInputDevice, DigitalOutputDevice, PWMOutputDevice

from hardware import pins
from hardware.patterns import (
    BUZZ_PATTERNS,
    LAMP_PATTERNS,
    SOUND_PATTERNS,
    Pattern,
    counted,
)
from hardware.ports import Button, Buzz, Lamp, LampPattern, Pressed, SoundPattern

BOUNCE_S = 0.03
HELD_S = 1.0
REPEAT_S = 1.0
"""A button that stays held says so again this often [s]."""
SOUNDER_HZ = 1000  # low enough for ears behind hearing protectors
VIBRATION_HZ = 200


class _Output:
    """One device and the pattern that drives it."""

    def __init__(self, device: Any, on_value: float) -> None:
        self._device = device
        self._on_value = on_value
        self._pattern = Pattern(changes_ms=())
        self._since: float | None = None
        self._on = False

    def start(self, pattern: Pattern) -> None:
        if pattern == self._pattern and pattern.period_ms is not None:
            return  # asking again for what already repeats must not make it stutter
        self._pattern = pattern
        self._since = None
        self._put(pattern.is_on(0))

    @property
    def repeats(self) -> bool:
        """True while the pattern goes on by itself."""
        return self._pattern.period_ms is not None

    def tick(self, now: float) -> float | None:
        if self._since is None:
            self._since = now
        elapsed = now - self._since
        self._put(self._pattern.is_on(elapsed))
        change = self._pattern.next_change(elapsed)
        return None if change is None else self._since + change

    def _put(self, on: bool) -> None:
        if on is not self._on:  # writing a pulsed pin again would make it stutter
            self._on = on
            self._device.value = self._on_value if on else 0


class GpioPanel:
    """The panel on real or simulated pins.

    ``on_press`` gets every :class:`~hardware.ports.Pressed`; "down" and "up" come
    on a thread of the device library, so it should only put them on a queue. "held"
    and "repeat" come from :meth:`tick`: a press is held when it lasts a second from
    the first tick that sees it, and repeats every second from there. ``stuck`` names the buttons that were down from the start;
    they say nothing until they come up.
    """

    def __init__(self, factory: Any, on_press: Callable[[Pressed], None]) -> None:
        self._on_press = on_press
        # When a button that is down next says so; None until a tick has seen it.
        self._down: dict[Button, float | None] = {}
        self._held: set[Button] = set()
        self._lock = RLock()
        with ExitStack() as opened:
            self._lamps = {
                lamp: _Output(
                    opened.enter_context(DigitalOutputDevice(pin, pin_factory=factory)),
                    on_value=1,
                )
                for lamp, pin in pins.LAMPS.items()
            }
            # A sounder is loudest at half on, half off; a motor when always on.
            self._sounds = tuple(
                _Output(
                    opened.enter_context(
                        PWMOutputDevice(pin, frequency=hz, pin_factory=factory)
                    ),
                    on_value=on,
                )
                for pin, hz, on in (
                    (pins.SOUNDER, SOUNDER_HZ, 0.5),
                    (pins.VIBRATION, VIBRATION_HZ, 1.0),
                )
            )
            self.stuck: tuple[Button, ...] = tuple(
                button
                for button, pin in pins.BUTTONS.items()
                if self._watch(
                    button,
                    opened.enter_context(
                        DigitalInputDevice(
                            pin,
                            pull_up=True,
                            bounce_time=BOUNCE_S,
                            pin_factory=factory,
                        )
                    ),
                )
            )
            self._opened = opened.pop_all()

    def _watch(self, button: Button, device: Any) -> bool:
        """Report a button's changes, and tell whether it is down already."""

        def down() -> None:
            with self._lock:
                self._down[button] = None
            self._on_press(Pressed(button=button, at_press="down"))

        def up() -> None:
            with self._lock:
                self._down.pop(button, None)
                self._held.discard(button)
            self._on_press(Pressed(button=button, at_press="up"))

        device.when_activated = down
        device.when_deactivated = up
        return bool(device.is_active)

    def show(self, lamp: Lamp, pattern: LampPattern) -> None:
        """Start a lamp pattern; its first phase shows at once."""
        with self._lock:
            self._lamps[lamp].start(LAMP_PATTERNS[pattern])

    def sound(self, pattern: SoundPattern) -> None:
        """Start a pattern on sounder and vibration; its first phase starts at once."""
        with self._lock:
            for output in self._sounds:
                output.start(SOUND_PATTERNS[pattern])

    def feel(self, buzz: Buzz) -> None:
        """Start a vibration alone; a danger that repeats is not disturbed by it."""
        self._feel(BUZZ_PATTERNS[buzz])

    def count(self, digit: int) -> None:
        """Give a digit as so many pulses, and zero as one long one."""
        self._feel(counted(digit))

    def _feel(self, pattern: Pattern) -> None:
        vibration = self._sounds[-1]
        if not vibration.repeats or pattern.period_ms is not None:
            vibration.start(pattern)

    def tick(self, now: float) -> float | None:
        """Move patterns and holds on to ``now`` [s], and give the next change."""
        with self._lock:
            outputs = (*self._lamps.values(), *self._sounds)
            times = [output.tick(now) for output in outputs]
        times += [self._hold(button, now) for button in tuple(self._down)]
        return min((time for time in times if time is not None), default=None)

    def _hold(self, button: Button, now: float) -> float | None:
        with self._lock:
            if button not in self._down:
                return None  # it came up in this moment
            due = self._down[button]
            if due is None:
                due = self._down[button] = now + HELD_S
            if now < due:
                return due
            again = button in self._held
            self._held.add(button)
            due = self._down[button] = now + REPEAT_S
        at_press: Literal["held", "repeat"] = "repeat" if again else "held"
        self._on_press(Pressed(button=button, at_press=at_press))
        return due

    def close(self) -> None:
        """Switch everything off and let the pins go; closing twice is allowed."""
        self._opened.close()

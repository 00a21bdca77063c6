"""When a lamp or sounder is on, as a function of the time since its pattern began.

Times are whole milliseconds, so that a caller who ticks at the time it was given
lands on the change and not just before it. No lamp blinks faster than twice a
second: flashing at three a second and more can trigger seizures (from memory of
the usual accessibility guidance).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hardware.ports import Buzz, LampPattern, SoundPattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """The times [ms] at which an output changes, the first of them to on.

    With ``period_ms`` the pattern repeats; without, the last state stays.
    """

    changes_ms: tuple[int, ...]
    period_ms: int | None = None

    def is_on(self, elapsed_s: float) -> bool:
        """Tell whether the output is on, ``elapsed_s`` after the pattern began."""
        _, within = self._place(elapsed_s)
        return sum(change <= within for change in self.changes_ms) % 2 == 1

    def next_change(self, elapsed_s: float) -> float | None:
        """Give the time since the beginning [s] of the next change, if there is one."""
        start, within = self._place(elapsed_s)
        for change in self.changes_ms:
            if change > within:
                return (start + change) / 1000
        return None if self.period_ms is None else (start + self.period_ms) / 1000

    def _place(self, elapsed_s: float) -> tuple[int, int]:
        elapsed = max(0, round(elapsed_s * 1000))
        if self.period_ms is None:
            return 0, elapsed
        within = elapsed % self.period_ms
        return elapsed - within, within


LAMP_PATTERNS: Mapping[LampPattern, Pattern] = MappingProxyType(
    {
        "off": Pattern(changes_ms=()),
        "lit": Pattern(changes_ms=(0,)),
        "slow": Pattern(changes_ms=(0, 1000), period_ms=2000),
        "fast": Pattern(changes_ms=(0, 250), period_ms=500),
    }
)
SOUND_PATTERNS: Mapping[SoundPattern, Pattern] = MappingProxyType(
    {
        "silent": Pattern(changes_ms=()),
        "information": Pattern(changes_ms=(0, 150)),
        "caution": Pattern(changes_ms=(0, 300, 500, 800)),
        # Repeats until the caller says otherwise: silence must never be the default.
        "danger": Pattern(changes_ms=(0, 300, 400, 700, 800, 1100), period_ms=1500),
    }
)
BUZZ_PATTERNS: Mapping[Buzz, Pattern] = MappingProxyType(
    {
        # Told apart by number and length of the pulses, through a glove: a tick, three
        # ticks, one of middle length, a tick and a middle one, one long, two, three.
        "taken": Pattern(changes_ms=(0, 60)),
        "again": Pattern(changes_ms=(0, 60, 180, 240, 360, 420)),
        "question": Pattern(changes_ms=(0, 250)),
        "information": Pattern(changes_ms=(0, 60, 220, 470)),
        "open": Pattern(changes_ms=(0, 1000)),
        "caution": SOUND_PATTERNS["caution"],
        "danger": SOUND_PATTERNS["danger"],
    }
)
_PULSE_MS, _BEAT_MS, _ZERO_MS = 120, 320, 700


def counted(digit: int) -> Pattern:
    """Give a digit as pulses to be counted; zero is one long pulse.

    Raises
    ------
    ValueError
        If it is no digit.
    """
    if not 0 <= digit <= 9:
        raise ValueError(f"{digit} is no digit")
    if digit == 0:
        return Pattern(changes_ms=(0, _ZERO_MS))
    starts = [beat * _BEAT_MS for beat in range(digit)]
    return Pattern(
        changes_ms=tuple(at for start in starts for at in (start, start + _PULSE_MS))
    )

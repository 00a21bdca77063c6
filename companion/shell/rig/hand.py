"""A technician's hand on the charging valve.

Told to open, ease or close, it acts after a personal delay. It cracks the valve by a
personal amount that varies from pulse to pulse, and follows "less" and "more" roughly.
Told to turn slowly, it creeps open and stops a moment after the needle has moved five.
The figures are chosen values for rehearsal; no source was found for any of them.
"""

import math
import random  # noqa: TID251  seeded rig
from dataclasses import dataclass
from typing import Literal, assert_never

from companion.shell.rig.errors import RigError

Hint = Literal["crack", "less", "more", "double"]

RAMP_PER_S = 0.06
_RAMP_STEP_S = 0.5
_NEEDLE_PSI = 5.0
_NEEDLE_LATE_S = 0.8
_CRACK_MEDIAN, _CRACK_LOG_SD = 0.28, 0.55
_CRACK_LEAST, _CRACK_MOST = 0.05, 0.9
_PULSE_SD = 0.20


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """How well a technician follows: shares from 0 to 1.

    ``obeys_slow_turn`` of the slow turns are done as told; ``misses_close`` of the
    calls to close go unheard.
    """

    obeys_slow_turn: float = 0.85
    misses_close: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """The valve will stand at ``opening`` (0 to 1) from second ``at``."""

    at: float
    opening: float
    creeping: bool = False


class Hand:
    """One technician's hand, drawn from a seed.

    Times are seconds on the rig's own time line and never go back. Each command
    gives the turns it will lead to; :meth:`opening`, asked at every tick with the
    suction gauge as seen, says where the valve stands.
    """

    def __init__(self, *, seed: int, habits: Habits | None = None) -> None:
        # A string seed keeps this stream apart from the unit's of the same number.
        self._random = random.Random(f"hand {seed}")  # noqa: S311  seeded rig
        self._habits = habits or Habits()
        self.mean_delay_s = self._random.uniform(1.3, 3.5)
        crack = self._random.lognormvariate(math.log(_CRACK_MEDIAN), _CRACK_LOG_SD)
        self._level = min(max(crack, _CRACK_LEAST), _CRACK_MOST)
        self._plan: list[Turn] = []
        self._stands = 0.0
        self._before_psig: float | None = None
        self._needle_psi = _NEEDLE_PSI

    @property
    def level(self) -> float:
        """Where the hand would put the valve at the next plain opening (0 to 1)."""
        return self._level

    def open(
        self,
        hint: Hint,
        at: float,
        *,
        slow_turn: bool = False,
        needle_psi: float = _NEEDLE_PSI,
    ) -> tuple[Turn, ...]:
        """Hear "open" at second ``at``.

        ``slow_turn`` is the wording "turn slowly, stop when the needle has moved
        five", or ``needle_psi``; without a moving needle it ends at twice the usual
        crack, at least 0.3.
        """
        self._level = min(max(self._level * self._factor(hint), 0.02), 1.0)
        start = at + self._delay_s()
        self._before_psig = None
        self._needle_psi = needle_psi
        if slow_turn and self._random.random() < self._habits.obeys_slow_turn:
            return self._take_on(self._creep(start))
        shaky = self._level * math.exp(self._random.gauss(0.0, _PULSE_SD))
        return self._take_on((Turn(at=start, opening=min(max(shaky, 0.02), 1.0)),))

    def ease(self, at: float) -> tuple[Turn, ...]:
        """Hear "ease off" at second ``at``."""
        left = self._random.uniform(0.45, 0.75)
        start = at + self._delay_s()
        opening = self._where_at(start) * left
        self._level = max(opening, 0.02)
        return self._take_on((Turn(at=start, opening=opening),))

    def close(self, at: float) -> tuple[Turn, ...]:
        """Hear "close" at second ``at``; no turn at all if it goes unheard."""
        missed = self._random.random() < self._habits.misses_close
        start = at + self._delay_s()
        if missed:
            return ()
        return self._take_on((Turn(at=start, opening=0.0),))

    def opening(self, at: float, suction_psig: float) -> float:
        """Say where the valve stands at second ``at``, the needle being seen so."""
        while self._plan and self._plan[0].at <= at + 1e-9:
            turn = self._plan.pop(0)
            self._stands = turn.opening
            if turn.creeping and self._before_psig is None:
                self._before_psig = suction_psig
            if turn.creeping:
                self._level = max(turn.opening, 0.02)
        if self._before_psig is not None:
            self._watch(at, suction_psig - self._before_psig)
        return self._stands

    def _watch(self, at: float, rise_psi: float) -> None:
        if rise_psi < self._needle_psi:
            return
        stop = at + _NEEDLE_LATE_S
        self._plan = [t for t in self._plan if not t.creeping or t.at <= stop]
        self._before_psig = None

    def _creep(self, start: float) -> tuple[Turn, ...]:
        most = min(max(2 * self._level, 0.3), 1.0)
        steps = math.ceil(most / (RAMP_PER_S * _RAMP_STEP_S))
        return tuple(
            Turn(
                at=start + i * _RAMP_STEP_S,
                opening=min((i + 1) * RAMP_PER_S * _RAMP_STEP_S, most),
                creeping=True,
            )
            for i in range(steps)
        )

    def _factor(self, hint: Hint) -> float:
        draw = self._random.uniform
        match hint:
            case "crack":
                return 1.0
            case "less":
                return draw(0.45, 0.75)
            case "more":
                return draw(1.15, 1.6)
            case "double":
                return draw(1.6, 2.4)
            case _:
                assert_never(hint)

    def _delay_s(self) -> float:
        delay = self.mean_delay_s + self._random.uniform(-0.5, 0.5)
        return min(max(delay, 1.0), 4.0)

    def _where_at(self, at: float) -> float:
        before = [turn.opening for turn in self._plan if turn.at <= at]
        return before[-1] if before else self._stands

    def _take_on(self, turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
        """Put the new turns in place of everything planned from then on."""
        first = turns[0].at
        if not math.isfinite(first):
            raise RigError(f"a hand cannot act at second {first}; give a finite time")
        self._plan = [turn for turn in self._plan if turn.at < first]
        self._plan.extend(turns)
        return turns

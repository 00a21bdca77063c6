"""How true values become spoken or measured ones.

Chosen values for rehearsal; no source was found for any of them.
"""

import random  # noqa: TID251  seeded rig
from dataclasses import dataclass
from typing import Literal

from companion.shell.rig.units import KG_PER_OZ

Misread = Literal[
    "none", "off-by-tens", "swapped-digits", "dropped-digit", "other-gauge"
]

_SCALE_STEP_KG = 0.010
_SCALE_SD_KG = 0.012


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """A reading as said, the true value behind it, and what went wrong, if anything."""

    said: int
    true: float
    misread: Misread


class Reader:
    """One technician reading instruments aloud, drawn from a seed.

    Every instrument has a fixed error of up to 0.5, every reading one of up to 0.9
    on top, and the sum is rounded to whole units.

    Parameters
    ----------
    seed
        Draws this reader and their instruments.
    misreads
        Share of gross misreads, 0 to 1: tens or a hundred off, two digits swapped,
        one dropped, or the other gauge read.
    lost
        Share of utterances that are never heard, 0 to 1.
    """

    def __init__(
        self, *, seed: int, misreads: float = 0.02, lost: float = 0.04
    ) -> None:
        self._random = random.Random(f"reader {seed}")  # noqa: S311  seeded rig
        self._misreads = misreads
        self._lost = lost
        self._fixed: dict[str, float] = {}

    def reading(
        self, value: float, *, item: str = "", other: float | None = None
    ) -> Spoken:
        """Read ``value`` off the instrument ``item``; ``other`` is the other gauge's."""
        if item not in self._fixed:
            self._fixed[item] = self._random.uniform(-0.5, 0.5)
        error = self._fixed[item] + self._random.uniform(-0.9, 0.9)
        said = round(value + error)
        if self._random.random() >= self._misreads:
            return Spoken(said=said, true=value, misread="none")
        kind = self._kind(said, other)
        wrong = round(other) if kind == "other-gauge" and other is not None else said
        if kind == "off-by-tens":
            wrong = said + self._random.choice((-1, 1)) * self._random.choice(
                (10, 20, 30, 100)
            )
        elif kind == "swapped-digits":
            wrong = _swap(said)
        elif kind == "dropped-digit":
            wrong = int(str(said)[:-1])
        return Spoken(said=wrong, true=value, misread=kind)

    def _kind(self, said: int, other: float | None) -> Misread:
        kinds: list[Misread] = ["off-by-tens"]
        if said >= 10:
            kinds.append("dropped-digit")
            if _swap(said) != said:
                kinds.append("swapped-digits")
        if other is not None:
            kinds.append("other-gauge")
        return self._random.choice(kinds)

    def is_lost(self) -> bool:
        """Draw whether the next utterance goes unheard."""
        return self._random.random() < self._lost

    def speech_s(self) -> float:
        """Draw how long a value is old when it has been heard [s]."""
        return self._random.uniform(1.0, 2.0)

    def answer_s(self, *, first: bool) -> float:
        """Draw how long an asked reading takes [s]; the first of a set takes longer."""
        return self._random.uniform(2.5, 6.0) if first else self._random.uniform(2, 4)

    def call_out_gap_s(self) -> float:
        """Draw the time between two call-outs while the valve is open [s]."""
        return self._random.uniform(2.5, 4.5)

    def scale_oz(self, value_oz: float) -> float:
        """Read a cylinder scale of 10 g steps, unsteady by some 12 g [oz]."""
        kg = value_oz * KG_PER_OZ + self._random.gauss(0.0, _SCALE_SD_KG)
        return round(kg / _SCALE_STEP_KG) * _SCALE_STEP_KG / KG_PER_OZ


class Transducer:
    """A suction pressure sensor: up to 1 psi of offset, 0.25 psi of noise."""

    def __init__(self, *, seed: int) -> None:
        self._random = random.Random(f"transducer {seed}")  # noqa: S311  seeded rig
        self._offset = self._random.uniform(-1.0, 1.0)

    def reading_psig(self, value_psig: float) -> float:
        """Measure a pressure [psi gauge]."""
        return value_psig + self._offset + self._random.gauss(0.0, 0.25)


def _swap(said: int) -> int:
    """Swap the last two digits of a number of two digits or more."""
    digits = str(said)
    return int(digits[:-2] + digits[-1] + digits[-2])

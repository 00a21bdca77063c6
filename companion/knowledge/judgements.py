"""What a reading may be judged to be: believable, doubtful or impossible."""

from dataclasses import dataclass
from typing import Literal

ReasonId = Literal[
    "below-vacuum",
    "outside-table",
    "outside-window",
    "saturation-unlikely",
    "suction-above-liquid",
    "wet-above-dry",
    "superheat-unlikely",
    "subcooling-unlikely",
    "condensing-below-outdoor",
    "big-step",
    "heavier-cylinder",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Believable:
    """Nothing speaks against the reading."""

    kind: Literal["believable"] = "believable"


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubtful:
    """The reading is unlikely: ask again, and believe it if it comes again."""

    reason_id: ReasonId
    reason: str
    kind: Literal["doubtful"] = "doubtful"


@dataclass(frozen=True, slots=True, kw_only=True)
class Impossible:
    """The reading cannot be: never believe it."""

    reason_id: ReasonId
    reason: str
    kind: Literal["impossible"] = "impossible"


Judgement = Believable | Doubtful | Impossible
Objection = Doubtful | Impossible

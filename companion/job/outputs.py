"""Everything the engine can ask for: say, light, tone, ask.

A cue is a name with declared values; the sentence itself, in the technician's
language and units, is found by the shell. Urgent outputs cut ordinary speech and do
not wait for the record.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from companion.job.amounts import Amount
from companion.job.cues import CUES

Value = str | int | float | Amount | None
Lamp = Literal["listening", "attention"]
Pattern = Literal["off", "steady", "blink", "fast"]
ToneName = Literal["information", "caution", "danger"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Say:
    """Say a sentence.

    Raises
    ------
    ValueError
        If the cue is unknown or its values are not the declared ones.
    """

    cue: str
    values: Mapping[str, Value] = field(default_factory=dict)
    urgent: bool = False
    kind: Literal["say"] = "say"

    def __post_init__(self) -> None:
        declared = CUES.get(self.cue)
        if declared is None:
            raise ValueError(f"no such cue: {self.cue}")
        if set(declared) != set(self.values):
            raise ValueError(
                f"cue {self.cue} takes {sorted(declared)}, not {sorted(self.values)}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """Show a pattern on a lamp."""

    lamp: Lamp
    pattern: Pattern
    urgent: bool = False
    kind: Literal["light"] = "light"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """Sound one of the three patterns; vibration follows it."""

    pattern: ToneName
    urgent: bool = False
    kind: Literal["tone"] = "tone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """Listen for an expectation from now on."""

    expectation: str
    urgent: bool = False
    kind: Literal["ask"] = "ask"


Output = Say | Light | Tone | Ask

"""How much is said, and how: the technician's own choice, within what safety allows.

What is printed never changes. Of what is spoken, "brief" shortens, and "tones" leaves
sounds in place of sentences: for somebody who reads the screen, or knows the job by
heart. Whatever the choice, urgent sentences are spoken whole; a value that waits for a
yes is read back digit by digit with its unit; the limit of an opening and the caution
of a step are spoken.
"""

from dataclasses import dataclass
from typing import Literal

Verbosity = Literal["full", "brief", "tones"]
Digits = Literal["singly", "whole"]

CAREFUL = frozenset(
    {
        "read-back",
        "read-back-again",
        "read-back-doubt",
        "offer-two",
        "read-back-sensor",
        "sensor-differs",
        "once-more",
        "once-more-question",
        "once-more-step",
    }
)
"""Cues whose values are said digit by digit with their unit, always."""

SPOKEN_IN_TONES = CAREFUL | {
    "step-stop",
    "mismatch",
    "method-refused",
    "method-not-known",
    "method-impossible",
    "confirm-date",
    "goodbye",
    "halted",
    "valve-words",
    "ready-pulse",
    "ready-vapor",
    "ready-slow",
    "ready-vapor-slow",
    "ease-off",
    "open-more",
    "to-go",
    "cylinder-cold",
    "valve-passes",
    "readings-old",
    "ask-again",
    "ready-weigh",
    "open-now",
    "valve-open",
    "out-of-range",
    "wrong-unit",
    "refused",
    "no-such-name",
    "too-noisy",
    "do-first",
    "sensor-lost",
    "device-lost",
    "device-gone",
    "silence-warning",
    "silence-alarm",
    "because",
    "why",
    "status",
    "status-open",
    "status-weighing",
    "status-charge",
    "help",
}
"""Cues that "tones" still speaks: safety, limits, and what was asked for by name."""

CAUTION_ONLY = {"step": "{caution}"}
"""Cues of which "tones" speaks a part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Speaking:
    """How sentences are spoken.

    Attributes
    ----------
    verbosity
        ``full``, ``brief``, or ``tones``.
    digits
        ``singly`` says 118 as "one one eight", ``whole`` as "118".
    units
        Whether values are followed by their unit.
    """

    verbosity: Verbosity = "full"
    digits: Digits = "singly"
    units: bool = True


def template(
    cue: str, full: str, brief: str | None, speaking: Speaking, *, urgent: bool
) -> str:
    """Give the sentence to speak for a cue; empty where a tone stands for it.

    Parameters
    ----------
    full, brief
        The whole sentence, and its shorter form if there is one.
    urgent
        Whether the sentence cuts others off; then it is never shortened.
    """
    if urgent or speaking.verbosity == "full" or cue.startswith("close"):
        return full
    short = full if brief is None else brief
    if speaking.verbosity == "brief" or cue in SPOKEN_IN_TONES:
        return short
    return CAUTION_ONLY.get(cue, "")

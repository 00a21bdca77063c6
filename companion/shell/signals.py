"""What each cue is without its words: a tone before speech, a lamp, a vibration.

A technician who does not hear feels and sees what kind of thing is being said, and
reads the rest on the screen; one who does not look hears it. Seven kinds are told apart
by rhythm, never by pitch or color alone:

- danger: close the valve, or somebody may need help; repeats until it is answered;
- caution: something stands in the way;
- again: what was said or pressed was not taken;
- question: it is the technician's turn;
- open: the word to open the charging valve, and nothing else;
- taken: an answer counts;
- information: everything else.

The engine's own lamp and tone outputs go before these. The table in
``hardware/WIRING.md`` is held to this one by a test.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from companion.job.cues import CUES
from companion.job.outputs import Say
from hardware import Buzz, LampPattern
from speech import Pattern

Kind = Literal["danger", "caution", "again", "question", "open", "taken", "information"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """How a kind of cue is shown and felt.

    Attributes
    ----------
    means
        In words, for the table.
    tone
        Sounded before the sentence; None where the sentence is announced by nothing.
    attention
        The attention lamp; None leaves it as it is.
    buzz
        The vibration.
    """

    means: str
    tone: Pattern | None
    attention: LampPattern | None
    buzz: Buzz


SIGNALS: Mapping[Kind, Signal] = MappingProxyType(
    {
        "danger": Signal(
            means="close the valve, or answer: help may be needed",
            tone="danger",
            attention="fast",
            buzz="danger",
        ),
        "caution": Signal(
            means="something stands in the way: read the screen",
            tone="caution",
            attention="slow",
            buzz="caution",
        ),
        "again": Signal(
            means="not taken: say or press it again",
            tone=None,
            attention=None,
            buzz="again",
        ),
        "question": Signal(
            means="it is your turn: read the screen",
            tone=None,
            attention=None,
            buzz="question",
        ),
        "open": Signal(
            means="open the charging valve now",
            tone="information",
            attention="lit",
            buzz="open",
        ),
        "taken": Signal(
            means="your answer counts",
            tone=None,
            attention=None,
            buzz="taken",
        ),
        "information": Signal(
            means="something was said: read the screen",
            tone=None,
            attention=None,
            buzz="information",
        ),
    }
)

_DANGER = {"closed-again", "silence-alarm"}
_CAUTION = {
    "step-fix",
    "step-stop",
    "refused",
    "mismatch",
    "read-back-doubt",
    "silence",
    "silence-warning",
    "stopped",
    "halted",
    "device-lost",
    "device-gone",
    "sensor-lost",
    "ease-off",
    "cylinder-cold",
    "valve-passes",
    "readings-old",
    "sensor-differs",
    "blocked",
    "method-refused",
    "method-not-known",
    "method-impossible",
    "goodbye",
    "valve-open",
}
_AGAIN = {
    "unclear",
    "unclear-often",
    "unclear-number",
    "unclear-digits",
    "too-noisy",
    "offer-two",
    "no-such-name",
    "do-first",
    "out-of-range",
    "wrong-unit",
    "not-an-answer",
    "cannot-go-back",
    "not-now",
    "not-ready",
}
_QUESTION = {
    "ask",
    "step",
    "read-back",
    "read-back-again",
    "which-name",
    "which-name-more",
    "read-back-sensor",
    "standby",
    "confirm-date",
    "once-more",
    "once-more-question",
    "once-more-step",
    "ask-again",
    "ready-pulse",
    "ready-vapor",
    "ready-slow",
    "ready-vapor-slow",
    "ready-weigh",
    "dial-open",
    "dial-choice",
    "dial-place",
    "dial-digit",
}
_TAKEN = {
    "heard",
    "noted",
    "step-note",
    "denied",
    "went-back",
    "going-on",
    "halted-waits",
    "closed-heard",
    "already-closed",
}


def kind_of(cue: str) -> Kind:
    """Give the kind of a cue; every close call is danger."""
    if cue in _TAKEN:
        return "taken"
    if cue.startswith("close") or cue in _DANGER:
        return "danger"
    if cue == "open-now":
        return "open"
    if cue in _CAUTION:
        return "caution"
    if cue in _AGAIN:
        return "again"
    return "question" if cue in _QUESTION else "information"


def signal(cue: str) -> Signal:
    """Give how a cue is shown and felt."""
    return SIGNALS[kind_of(cue)]


def tone_before(say: Say) -> Pattern | None:
    """Give the tone that goes before a sentence."""
    found = signal(say.cue).tone
    return "caution" if found is None and say.urgent else found


def counted(say: Say) -> int | None:
    """Give the digit that a sentence of the dial shows, to be felt as so many pulses."""
    digit = str(say.values.get("digit", ""))
    return int(digit) if digit.isdigit() else None


def table() -> str:
    """Give the table of kinds for the wiring page, one row a kind."""
    rows = [
        "| kind | means | tone before | attention lamp | vibration |",
        "| --- | --- | --- | --- | --- |",
    ]
    for kind, found in SIGNALS.items():
        attention = found.attention or "as it was"
        rows.append(
            f"| {kind} | {found.means} | {found.tone or 'none'} | {attention} | "
            f"{found.buzz} |"
        )
    return "\n".join(rows)


def cue_table() -> str:
    """Give which cues are of which kind, one row a kind."""
    rows = ["| kind | cues |", "| --- | --- |"]
    for kind in SIGNALS:
        cues = ", ".join(f"`{cue}`" for cue in CUES if kind_of(cue) == kind)
        rows.append(f"| {kind} | {cues} |")
    return "\n".join(rows)

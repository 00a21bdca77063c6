"""Text into plain spoken words, so that typed and heard lines are read alike."""

import re

UNKNOWN = "[unk]"
"""The word a recogniser puts where it heard speech outside its word list."""

DIGITS = (
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
)

_COMMA = re.compile(r"(?<=\d),(?=\d{3})")
_ODD_COMMA = re.compile(r"(?<=\d),(?=\d)")
_SIGN = re.compile(r"(?:(?<=\s)|^)[-\N{MINUS SIGN}](?=[\d.])")
_POINT = re.compile(r"(?<=\d)\.(?=\d)|(?:(?<=\s)|^)\.(?=\d)")
_TOKEN = re.compile(r"\[unk\]|\d|[^\W\d_]+(?:'[^\W\d_]+)*")


def tokens(text: str) -> tuple[str, ...]:
    """Split a line into lower-case words; written figures become digit words.

    ``"R-410A, -4 psi"`` becomes ``r four one zero a minus four psi``, so the
    parsers never meet a figure. A comma that parts no thousands, as in ``62,5``, is not
    guessed at: it becomes :data:`UNKNOWN`, and the line is not understood.
    """
    line = _ODD_COMMA.sub(f" {UNKNOWN} ", _COMMA.sub("", text.lower()))
    line = _SIGN.sub("minus ", line)
    line = _POINT.sub(" point ", line)
    return tuple(
        DIGITS[int(word)] if word.isdigit() else word for word in _TOKEN.findall(line)
    )

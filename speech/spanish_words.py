"""Spanish text into plain spoken words: lower case, without accents, figures as words.

A typed figure such as ``1,200`` or ``1.200`` is twelve hundred in one country and one
and a fifth in another. It is never guessed: it becomes :data:`~speech.words.UNKNOWN`,
so that the line is not understood and is asked for again.
"""

import re
import unicodedata

from speech.words import UNKNOWN

DIGITS = (
    "cero",
    "uno",
    "dos",
    "tres",
    "cuatro",
    "cinco",
    "seis",
    "siete",
    "ocho",
    "nueve",
)
_THOUSANDS = re.compile(r"\d[.,]\d{3}(?!\d)")
_SIGN = re.compile(r"(?:(?<=\s)|^)[-\N{MINUS SIGN}](?=[\d.,])")
_POINT = re.compile(r"(?<=\d)[.,](?=\d)|(?:(?<=\s)|^)[.,](?=\d)")
_TOKEN = re.compile(r"\[unk\]|\d|[^\W\d_]+(?:'[^\W\d_]+)*")


def plain(word: str) -> str:
    """Give a word without accents: ``sí`` and ``si`` are typed and heard alike."""
    marks = unicodedata.normalize("NFD", word)
    return "".join(sign for sign in marks if not unicodedata.combining(sign))


def tokens(text: str) -> tuple[str, ...]:
    """Split a line into plain lower-case words; figures become Spanish digit words.

    ``"R-410A, -4,5 psi"`` becomes ``r cuatro uno cero a menos cuatro punto cinco psi``.
    """
    line = _THOUSANDS.sub(f" {UNKNOWN} ", plain(text.lower()))
    line = _SIGN.sub("menos ", line)
    line = _POINT.sub(" punto ", line)
    return tuple(
        DIGITS[int(word)] if word.isdigit() else word for word in _TOKEN.findall(line)
    )

"""Refrigerant designations both ways, from a list that is handed in.

A designation is spoken as a number and letters: "R four ten A", "four one zero
alpha", "twelve thirty four Y F". A number without its letter is never completed by
guess, however short the list: the nearest designations are given back as a question.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from speech.numbers import NUMBER_WORDS, parse_number, whole_forms
from speech.words import DIGITS, tokens

_SPELLING = """
alpha bravo charlie delta echo foxtrot golf hotel india juliet kilo lima mike november
oscar papa quebec romeo sierra tango uniform victor whiskey xray yankee zulu
"""
ALPHABET = {word[0]: word for word in _SPELLING.split()}
"""The international spelling alphabet, in the spelling of common word lists."""

_HEARD_AS = {
    "ay": "a",
    "alfa": "a",
    "be": "b",
    "bee": "b",
    "see": "c",
    "sea": "c",
    "dee": "d",
    "ee": "e",
    "gee": "g",
    "eye": "i",
    "juliett": "j",
    "why": "y",
    "zee": "z",
    "zed": "z",
}
_LETTER = (
    {letter: letter for letter in ALPHABET}
    | {word: letter for letter, word in ALPHABET.items()}
    | _HEARD_AS
)
_LEAD = ("r", "are", "romeo")
_SHAPE = re.compile(r"R-([A-Z]?\d{2,4}(?:[A-Z]\d|[A-Za-z]{0,4})(?:\([A-Z]\))?)\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """One designation of the list, heard whole."""

    designation: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ambiguous:
    """Shaped like a designation, but not exactly one of the list.

    ``said`` is what was heard, written as a designation; ``candidates`` are those of
    the list with the same number, or else within one digit or letter; maybe none.
    """

    said: str
    candidates: tuple[str, ...]


def check_designation(designation: str) -> str:
    """Give the designation back if it can be spoken.

    Raises
    ------
    ValueError
        If it is not written like ``R-22``, ``R-410A`` or ``R-1234ze(E)``.
    """
    if not _SHAPE.match(designation):
        raise ValueError(
            f"{designation!r} is no designation; write it like R-22, R-410A, R-1234yf "
            "or R-1234ze(E)"
        )
    return designation


def _key(designation: str) -> str:
    return re.sub(r"[^a-z0-9]", "", check_designation(designation)[2:].lower())


def _short_key(designation: str) -> str:
    """Leave out the isomer in brackets, which people seldom say."""
    return _key(designation.partition("(")[0])


def key_of(designation: str) -> str:
    """Give the digits and letters of a designation, in lower case."""
    return _key(designation)


def short_key_of(designation: str) -> str:
    """Give :func:`key_of` without the isomer in brackets."""
    return _short_key(designation)


def written(key: str) -> str | None:
    """Give digits and letters as a designation, or None if they are none."""
    shown = "R-" + key.upper()
    return shown if _SHAPE.match(shown) else None


def _number(key: str) -> str:
    found = re.search(r"\d+", key)
    return found.group() if found else ""


def _spell(said: Sequence[str]) -> str | None:
    """Join spoken numbers and letters: "four ten alpha" becomes ``410a``."""
    key = ""
    for numeric, run in groupby(said, lambda word: word in NUMBER_WORDS):
        if not numeric:
            letters = [_LETTER.get(word, "") for word in run]
            if "" in letters:
                return None
            key += "".join(letters)
            continue
        number = parse_number(" ".join(run))
        if number is None or number < 0 or number != int(number):
            return None
        key += str(int(number))
    return key


def parse_name(words: str, names: Sequence[str]) -> Name | Ambiguous | None:
    """Find which designation of the list these words say.

    Gives None when the words are not shaped like a designation at all.
    """
    said = tokens(words)
    if said[:1] == ("refrigerant",):
        said = said[1:]
    if len(said) > 1 and said[0] in _LEAD:
        said = said[1:]
    key = _spell(said)
    if key is None or not _SHAPE.match("R-" + key.upper()):
        return None
    exact = [name for name in names if _key(name) == key]
    found = exact or [name for name in names if _short_key(name) == key]
    if len(found) == 1:
        return Name(designation=found[0])
    written = "R-" + key.upper()
    return Ambiguous(said=written, candidates=tuple(found) or near(key, names))


def near(said: str, names: Sequence[str]) -> tuple[str, ...]:
    """Give the designations of the list closest to a designation that is not in it.

    Those with the same number come alone, since then only the letter is in doubt;
    else those that differ by one digit or letter.
    """
    key = re.sub(r"[^a-z0-9]", "", said.lower().removeprefix("r-"))
    same = tuple(name for name in names if _number(_key(name)) == _number(key))
    return same or tuple(name for name in names if _one_apart(key, _key(name)))


def _one_apart(one: str, other: str) -> bool:
    short, long = sorted((one, other), key=len)
    if len(long) - len(short) > 1:
        return False
    start = 0
    while start < len(short) and short[start] == long[start]:
        start += 1
    if len(short) == len(long):
        return short[start + 1 :] == long[start + 1 :]
    return short[start:] == long[start + 1 :]


def name_spoken(designation: str) -> str:
    """Give the read-back: ``R-407C`` is "R four zero seven charlie"."""
    return "R " + " ".join(
        DIGITS[int(sign)] if sign.isdigit() else ALPHABET[sign]
        for sign in _key(designation)
    )


def name_forms(designation: str, names: Sequence[str] = ()) -> tuple[str, ...]:
    """Give the forms a speaker may use for a designation, without and with the "R".

    The isomer in brackets may be left out unless another of ``names`` is then the same.
    """
    forms: set[str] = set()
    short = _short_key(designation)
    shared = any(_short_key(other) == short for other in names if other != designation)
    for key in {_key(designation), _key(designation) if shared else short}:
        spelled = [""]
        for part in re.findall(r"\d+|[a-z]+", key):
            if part.isdigit():
                said = whole_forms(int(part))
            else:
                said = (" ".join(part), " ".join(ALPHABET[letter] for letter in part))
            spelled = [f"{head} {tail}".strip() for head in spelled for tail in said]
        forms.update(spelled)
    return tuple(sorted(forms) + sorted(f"r {form}" for form in forms))

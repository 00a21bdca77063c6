"""Refrigerant designations in Spanish, both ways; see :mod:`speech.names`.

Understood: "R cuatro diez A", "cuatro uno cero alfa", "erre ciento treinta y cuatro a",
"doce treinta y cuatro i griega efe". Read back one digit at a time, but a final one-zero
as "diez", which is how the trade says it and sounds like no other number; a letter comes
with its word of the spelling alphabet: "R cuatro diez A de alfa".
"""

import re
from collections.abc import Sequence
from functools import cache

from speech.names import Ambiguous, Name, key_of, near, short_key_of, written
from speech.spanish_numbers import NUMBER_WORDS, parse_whole, whole_forms
from speech.spanish_words import DIGITS, plain, tokens

_SPELLING = """
alfa bravo charlie delta eco foxtrot golf hotel india julieta kilo lima mike noviembre
oscar papá quebec romeo sierra tango uniforme víctor whisky xray yanqui zulú
"""
ALPHABET = {plain(word)[0]: word for word in _SPELLING.split()}
"""The international spelling alphabet as it is said in Spanish."""
LETTERS = {
    "a": "a",
    "b": "be",
    "c": "ce",
    "d": "de",
    "e": "e",
    "f": "efe",
    "g": "ge",
    "h": "hache",
    "i": "i",
    "m": "eme",
    "n": "ene",
    "x": "equis",
    "y": "ye",
    "z": "zeta",
}
"""The names of the letters that designations hold."""
_HEARD_AS = {"alpha": "a", "echo": "e", "yankee": "y", "ceta": "z", "juliet": "j"}
_LETTER = (
    {letter: letter for letter in ALPHABET}
    | {plain(word): letter for letter, word in ALPHABET.items()}
    | {word: letter for letter, word in LETTERS.items()}
    | _HEARD_AS
)
_LEAD = ("r", "erre", "ere", "romeo")
_FIRST = ("refrigerante",)
_OF = "de"
_LONGEST = 8  # words of the longest number in a designation


def _spell(said: tuple[str, ...]) -> str | None:
    """Join spoken numbers and letters; the longest number that leaves sense counts."""
    if not said:
        return ""
    if said[:2] == ("i", "griega"):
        return _join("y", said[2:])
    if said[0] in NUMBER_WORDS - {"y"}:
        for end in range(min(len(said), _LONGEST), 0, -1):
            value = parse_whole(said[:end])
            spelled = None if value is None else _join(str(value), said[end:])
            if spelled is not None:
                return spelled
        return None
    letter = _LETTER.get(said[0])
    if letter is None:
        return None
    if len(said) > 2 and said[1] == _OF and _LETTER.get(said[2]) == letter:
        return _join(letter, said[3:])
    return _join(letter, said[1:])


def _join(head: str, rest: tuple[str, ...]) -> str | None:
    tail = _spell(rest)
    return None if tail is None else head + tail


def parse_name(words: str, names: Sequence[str]) -> Name | Ambiguous | None:
    """Find which designation of the list these words say.

    Gives None when the words are not shaped like a designation at all.
    """
    said = tokens(words)
    if said[:1] == _FIRST:
        said = said[1:]
    if len(said) > 1 and said[0] in _LEAD:
        said = said[1:]
    key = _spell(said)
    shown = None if not key else written(key)
    if key is None or shown is None:
        return None
    exact = [name for name in names if key_of(name) == key]
    found = exact or [name for name in names if short_key_of(name) == key]
    if len(found) == 1:
        return Name(designation=found[0])
    return Ambiguous(said=shown, candidates=tuple(found) or near(key, names))


def name_spoken(designation: str) -> str:
    """Give the read-back: ``R-407C`` is "R cuatro cero siete C de charlie"."""
    parts = [
        _number_spoken(part)
        if part.isdigit()
        else ", ".join(f"{sign.upper()} de {ALPHABET[sign]}" for sign in part)
        for part in re.findall(r"\d+|[a-z]+", key_of(designation))
    ]
    return "R " + " ".join(parts)


def _number_spoken(digits: str) -> str:
    if len(digits) == 3 and digits.endswith("10"):
        return f"{DIGITS[int(digits[0])]} diez"
    return " ".join(DIGITS[int(sign)] for sign in digits)


@cache
def name_forms(designation: str, names: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Give the forms a speaker may use for a designation, without and with the "R".

    The isomer in brackets may be left out unless another of ``names`` is then the same.
    """
    forms: set[str] = set()
    short = short_key_of(designation)
    shared = any(short_key_of(each) == short for each in names if each != designation)
    for key in {key_of(designation), key_of(designation) if shared else short}:
        spelled = [""]
        for part in re.findall(r"\d+|[a-z]+", key):
            said = whole_forms(int(part)) if part.isdigit() else _letter_forms(part)
            spelled = [f"{head} {tail}".strip() for head in spelled for tail in said]
        forms.update(spelled)
    leads = ("", "r ", "erre ")
    return tuple(f"{lead}{form}" for lead in leads for form in sorted(forms))


def _letter_forms(part: str) -> tuple[str, ...]:
    plain_names = " ".join(LETTERS.get(letter, letter) for letter in part)
    words = " ".join(ALPHABET[letter] for letter in part)
    both = " ".join(
        f"{LETTERS.get(letter, letter)} de {ALPHABET[letter]}" for letter in part
    )
    return tuple(dict.fromkeys((plain_names, words, both)))

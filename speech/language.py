"""A language: how its numbers and names are said, and the words that always count."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from speech import names, numbers, spanish_names, spanish_numbers, spanish_words, words
from speech.names import Ambiguous, Name

LanguageId = Literal["en", "es"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """What understanding and speaking need of a language.

    Attributes
    ----------
    tokens
        Splits a line into plain words.
    parse_number, digits_spoken, number_forms
        Number words both ways, see :mod:`speech.numbers`.
    parse_name, name_spoken, name_forms
        Designations both ways, see :mod:`speech.names`.
    points, digits
        The words for the decimal point, and the ten digits.
    always
        Control to the single words that are obeyed wherever they are heard.
    """

    id: LanguageId
    tokens: Callable[[str], tuple[str, ...]]
    parse_number: Callable[[str], Decimal | None]
    digits_spoken: Callable[[Decimal], str]
    number_forms: Callable[[Decimal], tuple[str, ...]]
    parse_name: Callable[[str, Sequence[str]], Name | Ambiguous | None]
    name_spoken: Callable[[str], str]
    name_forms: Callable[[str, tuple[str, ...]], tuple[str, ...]]
    points: tuple[str, ...]
    digits: tuple[str, ...]
    always: Mapping[str, frozenset[str]]


ENGLISH = Language(
    id="en",
    tokens=words.tokens,
    parse_number=numbers.parse_number,
    digits_spoken=numbers.digits_spoken,
    number_forms=numbers.number_forms,
    parse_name=names.parse_name,
    name_spoken=names.name_spoken,
    name_forms=names.name_forms,
    points=numbers.POINTS,
    digits=(*words.DIGITS, "oh"),
    always=MappingProxyType(
        {"stop": frozenset({"stop"}), "close": frozenset({"close"})}
    ),
)
SPANISH = Language(
    id="es",
    tokens=spanish_words.tokens,
    parse_number=spanish_numbers.parse_number,
    digits_spoken=spanish_numbers.digits_spoken,
    number_forms=spanish_numbers.number_forms,
    parse_name=spanish_names.parse_name,
    name_spoken=spanish_names.name_spoken,
    name_forms=spanish_names.name_forms,
    points=spanish_numbers.POINTS,
    digits=spanish_words.DIGITS,
    # Both languages' words count: in a fright the other one may come. "Para" is not
    # among them, because it also means "for"; alone it is a phrase for stop.
    always=MappingProxyType(
        {
            "stop": frozenset({"alto", "pare", "parar", "stop"}),
            "close": frozenset({"cierra", "cierre", "cierro", "cerrar", "close"}),
        }
    ),
)
LANGUAGES: Mapping[LanguageId, Language] = MappingProxyType(
    {"en": ENGLISH, "es": SPANISH}
)
"""Every language by its id."""


def always_said(said: Sequence[str], language: Language) -> str | None:
    """Give the always-obeyed control among plain words; "stop" wins."""
    spoken = set(said)
    for control, its_words in language.always.items():
        if spoken & its_words:
            return control
    return None

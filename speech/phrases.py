"""The table of phrases: loaded from TOML, checked for clashes, all faults at once."""

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, ValidationError

from speech.language import ENGLISH, LANGUAGES, Language, LanguageId, always_said
from speech.ports import SpeechFileError
from speech.vocabulary import CONTROLS, UNITS

_FILES: Mapping[LanguageId, str] = {"en": "phrases.toml", "es": "phrases_es.toml"}
_Said = tuple[str, ...]
_Row = tuple[str, str]
_Phrases = Annotated[tuple[str, ...], Field(min_length=1)]


class _Fillers(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    start: tuple[str, ...] = ()
    end: tuple[str, ...] = ()


class Phrases(BaseModel):
    """Every phrase by control id and unit id, and the fillers to drop.

    ``decoys`` are heard wherever their control may be said, so that "not closed" is
    not forced into "closed"; they mean nothing, or are always obeyed. ``written`` are
    units as they are typed; nobody listens for them.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    controls: Mapping[str, _Phrases]
    units: Mapping[str, _Phrases]
    written: Mapping[str, _Phrases] = {}
    decoys: Mapping[str, _Phrases] = {}
    fillers: _Fillers = _Fillers()
    _known: dict[LanguageId, dict[_Said, str]] = PrivateAttr(default_factory=dict)

    def control_of(self, said: _Said, language: Language = ENGLISH) -> str | None:
        """Find the control that these words are exactly a phrase of."""
        known = self._known.get(language.id)
        if known is None:
            known = self._known[language.id] = self._by_words(language)
        return known.get(said)

    def _by_words(self, language: Language) -> dict[_Said, str]:
        """Give the control of each phrase, in words; the first that has it counts."""
        found: dict[_Said, str] = {}
        for control, phrases in self.controls.items():
            for phrase in phrases:
                found.setdefault(language.tokens(phrase), control)
        return found

    def unit_endings(self, language: Language = ENGLISH) -> Iterator[tuple[str, _Said]]:
        """Give (unit id, words), longest phrases first, in the file's order."""
        tokens = language.tokens
        pairs = [
            (unit, tokens(phrase))
            for table in (self.units, self.written)
            for unit, phrases in table.items()
            for phrase in phrases
        ]
        return iter(sorted(pairs, key=lambda pair: -len(pair[1])))


@cache
def shipped_phrases(language: LanguageId = "en") -> Phrases:
    """Load the table of a language that comes with the kit; it is read once."""
    name = _FILES[language]
    text = (resources.files("speech") / "data" / name).read_text("utf-8")
    return load_phrases(text, f"speech/data/{name}", LANGUAGES[language])


def load_phrases(text: str, where: str, language: Language = ENGLISH) -> Phrases:
    """Read a table of phrases from TOML text.

    Raises
    ------
    SpeechFileError
        With every fault found: file, key, what is wrong and what would be right.
    """
    try:
        phrases = Phrases.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as problem:
        raise SpeechFileError(f"{where}: not TOML: {problem}") from problem
    except ValidationError as problem:
        faults = [
            f"{'.'.join(str(part) for part in fault['loc'])}: {fault['msg']}"
            for fault in problem.errors()
        ]
        raise _refusal(where, faults) from problem
    faults = [
        *_id_faults(phrases),
        *_clashes(phrases, language),
        *_swallowed(phrases, language),
        *_false_decoys(phrases, language),
    ]
    if faults:
        raise _refusal(where, faults)
    return phrases


def _refusal(where: str, faults: list[str]) -> SpeechFileError:
    return SpeechFileError("\n".join(f"{where}: {fault}" for fault in faults))


def _id_faults(phrases: Phrases) -> Iterator[str]:
    for table, given, known in (
        ("controls", phrases.controls, CONTROLS),
        ("units", phrases.units, UNITS),
    ):
        for name in sorted(set(given) - set(known)):
            yield f"{table}.{name}: not a known id; known: {' '.join(known)}"
        for name in (name for name in known if name not in given):
            yield f"{table}.{name}: is missing; give it at least one phrase"
    for name in sorted(set(phrases.written) - set(UNITS)):
        yield f"written.{name}: not a known id; known: {' '.join(UNITS)}"


def _clashes(phrases: Phrases, language: Language) -> Iterator[str]:
    tokens, parse_number = language.tokens, language.parse_number
    owner: dict[_Said, str] = {}
    for key, phrase in _listed("controls", phrases.controls):
        said = tokens(phrase)
        if not said:
            yield f"{key}: {phrase!r} has no words"
        elif said in owner:
            yield f"{key}: {phrase!r} is also a phrase of {owner[said]}; drop one"
        elif parse_number(phrase) is not None:
            yield f"{key}: {phrase!r} is a number; choose other words"
        owner.setdefault(said, key)
    for key, phrase in _listed("units", phrases.units):
        taken = owner.get(tokens(phrase))
        if taken:
            yield f"{key}: {phrase!r} is also a phrase of {taken}; drop one"


def _listed(table: str, rows: Mapping[str, tuple[str, ...]]) -> Iterator[_Row]:
    for name, said_as in rows.items():
        for phrase in said_as:
            yield f"{table}.{name}", phrase


def _swallowed(phrases: Phrases, language: Language) -> Iterator[str]:
    """Find phrases that the always-obeyed words would take over."""
    for key, phrase in _listed("controls", phrases.controls):
        said = language.tokens(phrase)
        control = always_said(said, language)
        if control is not None and key != f"controls.{control}":
            word = next(each for each in said if each in language.always[control])
            yield (
                f"{key}: {phrase!r} holds the word {word!r}, which is always "
                f"obeyed as {control}; choose other words"
            )


def _false_decoys(phrases: Phrases, language: Language) -> Iterator[str]:
    for key, phrase in _listed("decoys", phrases.decoys):
        control = key.removeprefix("decoys.")
        if control not in phrases.controls:
            yield f"{key}: not a known id; known: {' '.join(CONTROLS)}"
        elif phrases.control_of(language.tokens(phrase), language) == control:
            yield f"{key}: {phrase!r} is a phrase of {control} itself; drop one"

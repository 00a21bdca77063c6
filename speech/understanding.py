"""Words into meaning, gated by what may be said now.

"stop" or "close" anywhere in an utterance wins over everything else in it, even when
the vocabulary does not list them; of the two, "stop" wins. After that an utterance
must be, as a whole and fillers aside, one choice, one listed control, one number or
one name. Nothing is picked out of the middle of a longer sentence.
"""

from dataclasses import dataclass
from decimal import Decimal

from speech.language import ENGLISH, Language, always_said
from speech.names import Ambiguous, Name
from speech.phrases import Phrases, shipped_phrases
from speech.vocabulary import ALWAYS, NumberRange, Vocabulary
from speech.words import UNKNOWN

_Said = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """A control word: ``id`` is one of :data:`speech.vocabulary.CONTROLS`."""

    id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number; ``unit`` is None when none was said.

    A unit that the range does not list is handed on, unchecked, for the caller to
    decide.
    """

    value: Decimal
    unit: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberOutOfRange:
    """A number heard well, but outside what can be said now."""

    value: Decimal
    unit: str | None
    low: Decimal | int
    high: Decimal | int


@dataclass(frozen=True, slots=True, kw_only=True)
class NameUnclear:
    """Shaped like a designation but not one of the list; see ``names.Ambiguous``."""

    said: str
    candidates: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of the options that were offered, by its id."""

    option: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unclear:
    """Words with no meaning here and now; empty for sound that was no speech."""

    words: str


Utterance = Control | Number | NumberOutOfRange | Name | NameUnclear | Choice | Unclear


def understand(
    words: str,
    vocabulary: Vocabulary,
    phrases: Phrases | None = None,
    language: Language = ENGLISH,
) -> Utterance:
    """Find what an utterance means, given what may be said now."""
    table = phrases or shipped_phrases(language.id)
    said = language.tokens(words)
    control = always_said(said, language) or table.control_of(said, language)
    if control in ALWAYS:
        return Control(id=control)
    if UNKNOWN in said or not said:
        return Unclear(words=words)
    bare = _without_fillers(said, table, language)
    for attempt in dict.fromkeys((said, bare)):
        found = _exact(attempt, vocabulary, table, language) or _measured(
            attempt, vocabulary, table, language
        )
        if found is not None:
            return found
    return Unclear(words=words)


def _without_fillers(said: _Said, phrases: Phrases, language: Language) -> _Said:
    tokens = language.tokens
    for filler in sorted(map(tokens, phrases.fillers.start), key=len, reverse=True):
        if said[: len(filler)] == filler:
            said = said[len(filler) :]
            break
    for filler in sorted(map(tokens, phrases.fillers.end), key=len, reverse=True):
        if said[-len(filler) :] == filler:
            return said[: -len(filler)]
    return said


def _exact(
    said: _Said, vocabulary: Vocabulary, phrases: Phrases, language: Language
) -> Choice | Control | None:
    tokens = language.tokens
    for option, option_phrases in vocabulary.choices.items():
        if any(tokens(phrase) == said for phrase in option_phrases):
            return Choice(option=option)
    control = phrases.control_of(said, language)
    return Control(id=control) if control in vocabulary.controls else None


def _measured(
    said: _Said, vocabulary: Vocabulary, phrases: Phrases, language: Language
) -> Number | NumberOutOfRange | Name | NameUnclear | None:
    if vocabulary.numbers is not None:
        number = _number(said, vocabulary.numbers, phrases, language)
        if number is not None:
            return number
    if not vocabulary.names:
        return None
    match language.parse_name(" ".join(said), vocabulary.names):
        case Ambiguous(said=written, candidates=candidates):
            return NameUnclear(said=written, candidates=candidates)
        case name:
            return name


def _number(
    said: _Said, expected: NumberRange, phrases: Phrases, language: Language
) -> Number | NumberOutOfRange | None:
    parse_number = language.parse_number
    value = parse_number(" ".join(said))
    if value is not None:
        return _in_range(value, None, expected)
    endings = [
        (unit, ending)
        for unit, ending in phrases.unit_endings(language)
        if said[-len(ending) :] == ending
    ]
    ounces = _pounds_and_ounces(said, endings, phrases, language)
    if ounces is not None and {"lb", "oz"} <= set(expected.units):
        return _in_range(ounces, "oz", expected)
    for _, ending in endings:
        value = parse_number(" ".join(said[: -len(ending)]))
        if value is not None:
            units = [unit for unit, same in endings if same == ending]
            return _in_range(value, _meant(units, expected), expected)
    return None


def _pounds_and_ounces(
    said: _Said,
    endings: list[tuple[str, _Said]],
    phrases: Phrases,
    language: Language,
) -> Decimal | None:
    """Read "six pounds four ounces", as a plate has it, in ounces; 16 are a pound."""
    parse_number = language.parse_number
    for ending in (words for unit, words in endings if unit == "oz"):
        rest = said[: -len(ending)]
        for unit, pound in phrases.unit_endings(language):
            if unit != "lb":
                continue
            for at in range(1, len(rest) - len(pound)):
                if rest[at : at + len(pound)] != pound:
                    continue
                pounds = parse_number(" ".join(rest[:at]))
                ounces = parse_number(" ".join(rest[at + len(pound) :]))
                if pounds is not None and ounces is not None and 0 <= ounces < 16:
                    return pounds * 16 + ounces
    return None


def _meant(units: list[str], expected: NumberRange) -> str | None:
    """Choose among units that share a phrase; None if two of them are expected."""
    fitting = [unit for unit in units if unit in expected.units]
    if len(fitting) > 1:
        return None
    return fitting[0] if fitting else units[0]


def _in_range(
    value: Decimal, unit: str | None, expected: NumberRange
) -> Number | NumberOutOfRange:
    checked = unit is None or unit in expected.units[:1]
    if checked and not expected.low <= value <= expected.high:
        return NumberOutOfRange(
            value=value, unit=unit, low=expected.low, high=expected.high
        )
    return Number(value=value, unit=unit)

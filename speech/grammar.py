"""A vocabulary as the two things recognisers want: a JSGF grammar or a phrase list.

Both hold exactly what the vocabulary allows: every form of its numbers, names and
choices, every phrase of its controls and the decoys that keep them apart. Phrases with a word that the recogniser
cannot hear are left out, and the words are reported.
"""

from collections.abc import Callable, Iterable
from decimal import Decimal

from speech.language import ENGLISH, Language
from speech.numbers import POINTS, SIGNS, TEENS, TENS
from speech.phrases import Phrases
from speech.vocabulary import NumberRange, Vocabulary
from speech.words import DIGITS, tokens

_MOST_LISTED = 500
"""So many whole numbers at most are spelled out in a phrase list."""

_NINE = f"{DIGITS[9]} | niner"
_DIGIT = " | ".join((*DIGITS[1:9], _NINE))


def jsgf(vocabulary: Vocabulary, phrases: Phrases, knows: Callable[[str], bool]) -> str:
    """Give the vocabulary as a JSGF grammar with the public rule ``said``.

    Empty if nothing at all can be said.
    """
    rules: list[str] = []
    public = [
        phrase
        for phrase in spoken_phrases(vocabulary, phrases)
        if all(knows(word) for word in phrase.split())
    ]
    if vocabulary.numbers is not None:
        rules += _number_rules(vocabulary.numbers, phrases, knows)
        public.append("<number>")
    if not public:
        return ""
    alternatives = "\n  | ".join(public)
    return "\n".join(
        (
            "#JSGF V1.0;",
            "grammar speech;",
            *rules,
            f"public <said> =\n    {alternatives};",
        )
    )


def spoken_phrases(
    vocabulary: Vocabulary, phrases: Phrases, language: Language = ENGLISH
) -> list[str]:
    """Give every phrase that may be said now, and the decoys; numbers apart."""
    listed = [
        phrase
        for control in vocabulary.controls
        for phrase in (*phrases.controls[control], *phrases.decoys.get(control, ()))
    ]
    for option_phrases in vocabulary.choices.values():
        listed += option_phrases
    for name in vocabulary.names:
        listed += language.name_forms(name, vocabulary.names)
    return list(dict.fromkeys(_in_words(phrase, language) for phrase in listed))


def _in_words(phrase: str, language: Language) -> str:
    """Give a phrase as a recogniser's word list has it, accents and all."""
    return phrase.lower() if language.id == "es" else " ".join(tokens(phrase))


def _unit_phrases(
    numbers: NumberRange,
    phrases: Phrases,
    knows: Callable[[str], bool],
    language: Language = ENGLISH,
) -> list[str]:
    said = (
        _in_words(phrase, language)
        for unit in numbers.units
        for phrase in phrases.units[unit]
    )
    return [
        phrase
        for phrase in dict.fromkeys(said)
        if all(knows(word) for word in phrase.split())
    ]


def _number_rules(
    numbers: NumberRange, phrases: Phrases, knows: Callable[[str], bool]
) -> list[str]:
    """Give the rules for numbers of at most as many digits as the range has.

    The longest of them begin with no higher digit than the range's end does: what
    cannot be said now cannot be heard for it.
    """
    top = str(max(abs(int(edge)) for edge in (numbers.low, numbers.high)))
    length = len(top)
    forms = (*_WHOLE[: _UP_TO[length - 1]], *_LONGEST[length])
    lead = " | ".join(DIGITS[1 : int(top[0]) + 1]) or _DIGIT
    lead = lead if int(top[0]) < 9 else _DIGIT
    units = _unit_phrases(numbers, phrases, knows)
    return [
        f"<digit> = {_DIGIT};",
        f"<lead> = {lead};",
        "<zero> = zero | oh;",
        "<zero_nine> = <zero> | <digit>;",
        f"<two> = {' | '.join(TEENS)} | ({' | '.join(TENS)}) [<digit>];",
        "<below> = <digit> | <two>;",
        f"<whole> = {' | '.join(forms)};",
        *_ending_rules(numbers, units),
    ]


_RARE_SIGN = "1e-12"
_RARE_DECIMAL = "1e-10"
_RARE_UNIT = "1e-3"
"""How much rarer than a plain number its signed, broken and unit forms are made.

Their words are short, and a recogniser hangs them onto anything. Measured on 120
readings of synthetic voices and 75 with a unit, a decimal or a sign, at 20 to 10 dB
over fan noise: with these weights 91 % of the first were right at the first pass
instead of 90 %, all of the second with a unit instead of 96 %, and none of the others
was lost; ten thousand times rarer lost some."""


def _ending_rules(numbers: NumberRange, units: list[str]) -> list[str]:
    """Give the rules for a number with what may stand around it, each with its weight."""
    rules: list[str] = []
    plain, number = ["/1/ <whole>"], ["/1/ <plain>"]
    if units:
        rules.append(f"<unit> = {' | '.join(units)};")
        plain.append(f"/{_RARE_UNIT}/ <whole> <unit>")
    if {"pounds", "ounces"} <= set(units):
        plain.append(f"/{_RARE_UNIT}/ <below> pounds <below> ounces")
    if numbers.decimals:
        rules.append(f"<tail> = ({' | '.join(POINTS)}) <zero_nine>;")
        plain.append(f"/{_RARE_DECIMAL}/ <whole> <tail>{' [<unit>]' if units else ''}")
    if numbers.low < 0:
        rules.append(f"<sign> = {' | '.join(SIGNS)};")
        number.append(f"/{_RARE_SIGN}/ <sign> <plain>")
    return [
        *rules,
        f"<plain> = {' | '.join(plain)};",
        f"<number> = {' | '.join(number)};",
    ]


_WHOLE = (
    "<zero_nine>",
    "<two>",
    "<digit> <zero_nine>",
    "<digit> hundred [[and] <below>]",
    "<digit> <two>",
    "<digit> <zero_nine> <zero_nine>",
)
_UP_TO = {0: 0, 1: 1, 2: 3, 3: len(_WHOLE)}
"""How many of the forms above a number of so many digits takes."""
_LONGEST = {
    1: ("<zero_nine>",),
    2: ("<two>", "<digit> <zero_nine>"),
    3: (
        "<lead> hundred [[and] <below>]",
        "<lead> <two>",
        "<lead> <zero_nine> <zero_nine>",
    ),
    4: (
        "<lead> thousand [[and] <below>]",
        "<lead> thousand <digit> hundred [[and] <below>]",
        "<two> hundred [[and] <below>]",
        "<two> (<two> | <zero> <digit>)",
        "<lead> <zero_nine> <zero_nine> <zero_nine>",
    ),
}
"""The forms of the numbers with as many digits as the end of the range."""


def phrase_list(
    vocabulary: Vocabulary,
    phrases: Phrases,
    knows: Callable[[str], bool],
    language: Language = ENGLISH,
) -> list[str]:
    """Give the vocabulary as phrases for a recogniser that learns word order from them.

    Whole numbers are spelled out, at most :data:`_MOST_LISTED` spread over the range;
    decimals and units are added as endings of a phrase.
    """
    listed = spoken_phrases(vocabulary, phrases, language)
    if vocabulary.numbers is not None:
        listed += _number_phrases(vocabulary.numbers, language)
        listed += _unit_phrases(vocabulary.numbers, phrases, knows, language)
    return [
        phrase
        for phrase in dict.fromkeys(listed)
        if all(knows(word) for word in phrase.split())
    ]


def _number_phrases(numbers: NumberRange, language: Language = ENGLISH) -> list[str]:
    low, high = int(numbers.low), int(numbers.high)
    step = max(1, (high - low) // _MOST_LISTED)
    listed = [
        form
        for value in (*range(low, high, step), high)
        for form in language.number_forms(Decimal(value))
    ]
    if numbers.decimals:
        listed += [
            f"{point} {digit}" for point in language.points for digit in language.digits
        ]
    return listed


def unknown_words(
    vocabulary: Vocabulary,
    phrases: Phrases,
    knows: Callable[[str], bool],
    language: Language = ENGLISH,
) -> tuple[str, ...]:
    """Give the words of the vocabulary that a recogniser cannot hear, in order."""
    everything: Iterable[str] = spoken_phrases(vocabulary, phrases, language)
    if vocabulary.numbers is not None:
        everything = (
            *everything,
            *_number_phrases(vocabulary.numbers, language),
            *_unit_phrases(vocabulary.numbers, phrases, lambda _: True, language),
        )
    words = dict.fromkeys(word for phrase in everything for word in phrase.split())
    return tuple(word for word in words if not knows(word))

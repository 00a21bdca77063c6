"""Between the kits and the engine: what is expected to a vocabulary, words to meaning.

Two exhaustive matches. Quantities get their unit here: the one that was said, or the
technician's own.
"""

from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import assert_never, get_args

from companion.job.amounts import Amount, AmountKind, amount
from companion.job.expectations import ALWAYS, EXPECTATIONS, Expectation
from companion.job.inputs import (
    Button,
    ControlWord,
    Guess,
    Heard,
    Said,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
    SaidWrongUnit,
)
from companion.job.know import Know
from companion.job.last_value import last_value
from companion.job.listening import expected_now
from companion.job.state import Job
from companion.knowledge.catalogue import Catalogue
from companion.knowledge.plausible import WINDOWS, as_quantity
from companion.knowledge.readings import ITEM_TYPES, Item
from companion.shell.units import UNITS, System, spoken_unit, unit_of
from companion.shell.wording import Wording
from speech import (
    Choice,
    Control,
    Name,
    NameUnclear,
    Number,
    NumberOutOfRange,
    NumberRange,
    Unclear,
    Utterance,
    Vocabulary,
    understand,
)
from speech import Heard as Sound

_CONTROLS: dict[str, ControlWord] = {word: word for word in get_args(ControlWord)}
_BUTTONS: dict[str, Button] = {name: name for name in get_args(Button)}
_ITEMS: dict[str, Item] = {item: item for item in ITEM_TYPES}
_AT_ANY_MOMENT = Vocabulary(controls=("opened", "closed", "noise", *ALWAYS))
"""What is understood at every moment, though the ear does not listen for all of it."""
_SEEN_AS = {"open-suction": "suction-pressure", "open-weight": "cylinder-weight"}
"""Expectations of an open valve and the reading they take. A missed stop or close may hurt
here: the ear leans further to them."""


def button_of(name: str) -> Button | None:
    """Give the engine's button of a name, or None."""
    return _BUTTONS.get(name)


def vocabulary(
    expects: tuple[str, ...], wording: Wording, names: tuple[str, ...]
) -> Vocabulary:
    """Give everything that may be said now.

    Parameters
    ----------
    expects
        Ids of the expectations in force.
    wording
        Phrases of the options, and the technician's units.
    names
        Refrigerant designations that may be named, where one is due.
    """
    due = [EXPECTATIONS[each] for each in expects]
    numbers = [each for each in due if each.of is not None]
    options = [option for each in due for option in each.options]
    controls = dict.fromkeys((*(c for each in due for c in each.controls), *ALWAYS))
    phrases = wording.tables.phrases
    return Vocabulary(
        numbers=_range(numbers[0], wording.system) if numbers else None,
        names=names if any(each.names for each in due) else (),
        choices={option: tuple(phrases[option]) for option in options},
        controls=tuple(controls),
        wary=any(each in _SEEN_AS for each in expects),
    )


def ear_vocabulary(job: Job, know: Know, wording: Wording) -> Vocabulary:
    """Give what the ear listens for in a job: less than what would be understood.

    See :func:`narrowed`. What was not understood at once is listened for more widely
    the next time: it may be the unusual that was said.
    """
    tries = 1 if job.asked is None else job.asked.tries
    last = last_value(job) if tries == 1 else None
    expects = expected_now(job)[0]
    if tries > WIDE_FROM:
        return vocabulary((expects,), wording, know.knowledge.catalogue.designations)
    return narrowed(expects, know.knowledge.catalogue, wording, last)


WIDE_FROM = 3
"""From this many askings on, the ear listens for all that would be understood."""


def narrowed(
    expects: str, catalogue: Catalogue, wording: Wording, last: Amount | None = None
) -> Vocabulary:
    """Give an expectation's vocabulary for the ear.

    Every form a recogniser need not tell apart makes it better at the rest. So for a
    number it listens within what is usual, and near the last value where there is one;
    for a name it leaves out refrigerants that are known by name only; while a value is
    read back it listens for yes and no alone. Typed lines are not narrowed.
    """
    names = tuple(each.designation for each in catalogue.refrigerants)
    names += tuple(each.designation for each in catalogue.out_of_scope)
    wide = vocabulary((expects,), wording, names)
    expected = EXPECTATIONS[expects]
    if expected.of is None:
        return wide
    low, high = _usual(expected, last)
    return replace(wide, numbers=_range(expected, wording.system, low, high))


def _usual(expected: Expectation, last: Amount | None) -> tuple[float, float]:
    """Give the bounds [SI] of what is usual now for a number."""
    item = _ITEMS.get(_SEEN_AS.get(expected.id, expected.id))
    if item is None:
        return expected.low, expected.high
    low, high = (amount(as_quantity(item, edge)).si for edge in WINDOWS[item].likely)
    step = WINDOWS[item].step
    if step is not None and last is not None and last.of == expected.of:
        reach = amount(as_quantity(item, step)).si - amount(as_quantity(item, 0)).si
        low, high = max(low, last.si - reach), min(high, last.si + reach)
    return max(low, expected.low), min(high, expected.high)


def _range(
    expected: Expectation,
    system: System,
    low_si: float | None = None,
    high_si: float | None = None,
) -> NumberRange:
    kind = _kind(expected)
    unit = unit_of(kind, system)
    low = Decimal(str(unit.read(expected.low if low_si is None else low_si)))
    high = Decimal(str(unit.read(expected.high if high_si is None else high_si)))
    others = [each.id for (of, _), each in UNITS.items() if of == kind]
    units = (unit.id, *(each for each in others if each != unit.id))
    return NumberRange(
        low=low.to_integral_value(ROUND_FLOOR),
        high=high.to_integral_value(ROUND_CEILING),
        decimals=1,
        units=units,
    )


def _kind(expected: Expectation) -> AmountKind:
    if expected.of is None:
        raise ValueError(f"{expected.id} expects no number")
    return expected.of


def plain_text(text: str) -> str:
    """Give text that can be written down: what no alphabet holds becomes a mark."""
    return text.encode(errors="replace").decode()


def heard(
    at: float,
    sound: Sound,
    expects: tuple[str, ...],
    wording: Wording,
    names: tuple[str, ...],
) -> Heard:
    """Make the engine's input of what a listener heard."""
    said = understood(sound.words, expects, wording, names)
    typed = sound.engine == "typed"
    return Heard(
        at=at,
        said=said,
        words=plain_text(sound.words or _likeliest(sound)),
        sure=sound.sure,
        by="typed" if typed else "voice",
        guesses=tuple(
            Guess(
                said=understood(each.words, expects, wording, names), weight=each.weight
            )
            for each in sound.guesses
        ),
        rest=sound.rest,
        over_noise=sound.over_noise,
    )


def _likeliest(sound: Sound) -> str:
    return sound.guesses[0].words if sound.guesses else ""


def understood(
    words: str, expects: tuple[str, ...], wording: Wording, names: tuple[str, ...]
) -> Said:
    """Give what words mean where these expectations are in force."""
    found = _understood_now(words, vocabulary(expects, wording, names), wording)
    match found:
        case Control(id=control):
            return SaidControl(word=_CONTROLS[control])
        case Number():
            return _quantity(found, expects, wording)
        case NumberOutOfRange(value=value, low=low, high=high):
            own = unit_of(_due_kind(expects), wording.system)
            unit = wording.named(own.spoken)
            return SaidOutOfRange(
                value=str(value), low=str(low), high=str(high), unit=unit
            )
        case Name(designation=designation):
            return SaidName(designation=designation)
        case NameUnclear(candidates=candidates):
            return SaidNameUnclear(candidates=candidates)
        case Choice(option=option):
            return SaidChoice(option=option)
        case Unclear():
            return SaidUnclear()
        case _:
            assert_never(found)


def _understood_now(words: str, due: Vocabulary, wording: Wording) -> Utterance:
    found = understand(words, due, language=wording.language)
    if not isinstance(found, Unclear):
        return found
    return understand(words, _AT_ANY_MOMENT, language=wording.language)


def _due_kind(expects: tuple[str, ...]) -> AmountKind:
    return next(kind for each in expects if (kind := EXPECTATIONS[each].of) is not None)


def _quantity(number: Number, expects: tuple[str, ...], wording: Wording) -> Said:
    kind = _due_kind(expects)
    own = unit_of(kind, wording.system)
    wanted = wording.named(own.spoken)
    if number.unit is None or number.unit == own.id:
        return SaidQuantity(quantity=own.make(float(number.value)))
    unit = UNITS.get((kind, number.unit))
    if unit is None:
        said = wording.named(spoken_unit(number.unit))
        return SaidWrongUnit(unit=said, wanted=wanted)
    try:
        return SaidQuantity(quantity=unit.make(float(number.value)))
    except ValueError:
        return SaidWrongUnit(unit=wording.named(unit.spoken), wanted=wanted)

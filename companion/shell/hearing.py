"""``companion hear``: one WAV file through the very path a microphone's sound takes."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from companion.job.amounts import amount
from companion.job.expectations import EXPECTATIONS
from companion.job.inputs import (
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
from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.judgements import Doubtful, Impossible
from companion.knowledge.loading import Knowledge
from companion.knowledge.plausible import judge
from companion.knowledge.quantities import Quantity
from companion.knowledge.readings import ITEM_TYPES, Item, ReadingContext
from companion.shell.devices import open_recogniser
from companion.shell.errors import CompanionError
from companion.shell.knowledge_files import read_knowledge
from companion.shell.settings import Settings
from companion.shell.translate import narrowed, understood
from companion.shell.units import number_in, unit_of
from companion.shell.wording import Wording
from companion.shell.words import words_of
from speech import Heard
from speech.engines import choose_engine
from speech.stream_listener import hear_file

_ITEMS: dict[str, Item] = {item: item for item in ITEM_TYPES}


def hear_command(
    settings: Settings,
    path: Path,
    *,
    expect: str,
    refrigerant: str | None,
    as_json: bool,
    show: Callable[[str], None],
) -> int:
    """Hear a file and say what came of it.

    Raises
    ------
    CompanionError, SpeechError
        If the expectation, the refrigerant or the file cannot be used.
    """
    if expect not in EXPECTATIONS:
        known = ", ".join(EXPECTATIONS)
        raise CompanionError(f"--expect {expect!r} is not known; known: {known}")
    knowledge = read_knowledge()
    unit = _refrigerant(knowledge, refrigerant)
    wording = words_of(settings)
    names = knowledge.catalogue.designations
    engine = choose_engine(settings.engine, settings.model_folder).engine
    listener = open_recogniser(settings)
    try:
        due = narrowed(expect, knowledge.catalogue, wording)
        sounds = hear_file(path, due, listener)
    finally:
        listener.close()
    result = _result(sounds, expect, wording, names, knowledge, unit)
    result["engine"] = engine
    if as_json:
        show(json.dumps(result))
    else:
        value = "" if result["value"] is None else f" {result['value']}"
        show(f"{result['outcome']}:{value} {result['unit'] or ''}".rstrip())
        show(f"heard {result['words']!r}, confidence {result['confidence']:.2f}")
    return 0


def _refrigerant(knowledge: Knowledge, designation: str | None) -> Refrigerant | None:
    if designation is None:
        return None
    found = knowledge.catalogue.get(designation)
    if isinstance(found, Refrigerant):
        return found
    raise CompanionError(found.reason)


def _result(
    sounds: list[Heard],
    expect: str,
    wording: Wording,
    names: tuple[str, ...],
    knowledge: Knowledge,
    unit: Refrigerant | None,
) -> dict[str, Any]:
    """Take the first utterance with words, as a prompt would; else what there was."""
    worded = next((each for each in sounds if each.words), None)
    if worded is None:
        outcome = "again" if sounds else "silence"
        return _row(outcome, words="", confidence=0.0)
    said = understood(worded.words, (expect,), wording, names)
    outcome, value, spoken_unit = _outcome(said, expect, wording, knowledge, unit)
    if outcome == "accepted" and not worded.sure:
        outcome = "confirm"
    return _row(
        outcome,
        value=value,
        unit=spoken_unit,
        words=worded.words,
        confidence=worded.confidence,
    )


def _row(
    outcome: str,
    *,
    words: str,
    confidence: float,
    value: object = None,
    unit: str | None = None,
) -> dict[str, Any]:
    return {
        "outcome": outcome,
        "value": value,
        "unit": unit,
        "words": words,
        "confidence": round(confidence, 3),
    }


def _outcome(
    said: Said,
    expect: str,
    wording: Wording,
    knowledge: Knowledge,
    unit: Refrigerant | None,
) -> tuple[str, object, str | None]:
    match said:
        case SaidControl(word=word):
            return "control", word, None
        case SaidChoice(option=option):
            return "accepted", option, None
        case SaidName(designation=designation):
            return "confirm", designation, None
        case SaidQuantity(quantity=quantity):
            own = unit_of(amount(quantity).of, wording.system)
            number = float(number_in(amount(quantity), own))
            return _believed(quantity, expect, knowledge, unit), number, own.id
        case SaidNameUnclear() | SaidOutOfRange() | SaidWrongUnit() | SaidUnclear():
            return "again", None, None


def _believed(
    quantity: Quantity, expect: str, knowledge: Knowledge, unit: Refrigerant | None
) -> str:
    item = _ITEMS.get(expect)
    if item is None:
        return "accepted"
    context = ReadingContext(
        properties=knowledge.properties, refrigerant=unit, running=True
    )
    found = judge(item, quantity, context)
    if isinstance(found, Impossible):
        return "again"
    return "confirm" if isinstance(found, Doubtful) else "accepted"

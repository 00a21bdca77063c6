"""``companion hear``: one WAV file through the very path a microphone's sound takes."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from companion.job.amounts import amount
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import Answer, NumberAnswer
from companion.job.inputs import Heard as Spoken
from companion.job.inputs import (
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
    SaidWrongUnit,
)
from companion.job.state import Weighed
from companion.job.trust import Accept, ReadBack
from companion.job.weighing import candidates_of, judged, prior_of_judgement
from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.judgements import (
    Believable,
    Doubtful,
    Impossible,
    Judgement,
)
from companion.knowledge.loading import Knowledge
from companion.knowledge.plausible import judge
from companion.knowledge.quantities import Quantity
from companion.knowledge.readings import ITEM_TYPES, Item, ReadingContext
from companion.shell.devices import open_recogniser
from companion.shell.errors import CompanionError
from companion.shell.knowledge_files import read_knowledge
from companion.shell.rehearsal.noise import a_weighted_power, fan_noise
from companion.shell.settings import Settings
from companion.shell.translate import heard, narrowed
from companion.shell.units import number_in, unit_of
from companion.shell.wording import Wording
from companion.shell.words import words_of
from speech import Heard
from speech.engines import choose_engine
from speech.sound import RATE, Samples, read_wav, to_samples
from speech.stream_listener import hear_samples
from speech.vocabulary import ALWAYS

_ITEMS: dict[str, Item] = {item: item for item in ITEM_TYPES}


def hear_command(
    settings: Settings,
    path: Path,
    *,
    expect: str,
    refrigerant: str | None,
    noise_db: float | None,
    as_json: bool,
    show: Callable[[str], None],
) -> int:
    """Hear a file and say what came of it.

    ``noise_db`` puts fan noise under it first, so far below the voice [dB, A-weighted].

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
        samples = read_wav(path).samples
        if noise_db is not None:
            samples = in_noise(samples, noise_db)
        sounds = hear_samples(samples, due, listener, str(path))
    finally:
        listener.close()
    context = ReadingContext(
        properties=knowledge.properties, refrigerant=unit, running=True
    )
    result = _result(sounds, expect, wording, names, context)
    result["engine"] = engine
    if as_json:
        show(json.dumps(result))
    else:
        value = "" if result["value"] is None else f" {result['value']}"
        show(f"{result['outcome']}:{value} {result['unit'] or ''}".rstrip())
        show(f"heard {result['words']!r}, confidence {result['confidence']:.2f}")
    return 0


def in_noise(samples: Samples, noise_db: float) -> Samples:
    """Put fan noise under a voice, a second of it before and after.

    The voice counts as loud as the louder half of its tenths of a second are.
    """
    padded = np.pad(samples.astype(np.float64), RATE)
    pieces = np.array_split(samples, max(1, len(samples) * 10 // RATE))
    powers = sorted(a_weighted_power(each.astype(np.float64)) for each in pieces)
    voice = float(np.mean(powers[len(powers) // 2 :])) ** 0.5
    noise = fan_noise(len(padded) / RATE, seed=1)[: len(padded)]
    level = voice / float(10 ** (noise_db / 20))
    return to_samples(padded + np.resize(noise, len(padded)) * level)


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
    context: ReadingContext,
) -> dict[str, Any]:
    """Take the first utterance that tells something, as a prompt would.

    Stop and close are obeyed wherever they come.
    """
    told = [each for each in sounds if each.words or each.guesses]
    urgent = (each for each in told if set(each.words.split()) & set(ALWAYS))
    worded = next(urgent, told[0] if told else None)
    if worded is None:
        outcome = "again" if sounds else "silence"
        return _row(outcome, words="", confidence=0.0)
    spoken = heard(0.0, worded, (expect,), wording, names)
    outcome, value, spoken_unit = _outcome(spoken, expect, wording, context)
    if outcome == "accepted" and not worded.sure:
        outcome = "confirm"
    row = _row(
        outcome,
        value=value,
        unit=spoken_unit,
        words=spoken.words,
        confidence=worded.confidence,
    )
    row["guesses"] = [
        {"words": each.words, "weight": each.weight} for each in worded.guesses
    ]
    return row


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
        "guesses": [],
    }


_Outcome = tuple[str, object, str | None]
_AGAIN: _Outcome = ("again", None, None)


def _outcome(
    spoken: Spoken, expect: str, wording: Wording, context: ReadingContext
) -> _Outcome:
    match spoken.said:
        case SaidControl(word=word):
            return "control", word, None
        case SaidChoice(option=option):
            return "accepted", option, None
        case SaidName(designation=designation):
            return "confirm", designation, None
        case SaidQuantity() | SaidUnclear() if spoken.guesses:
            return _by_policy(spoken, expect, wording, context)
        case SaidQuantity(quantity=quantity):
            return _believed(quantity, expect, wording, context)
        case SaidNameUnclear() | SaidOutOfRange() | SaidWrongUnit() | SaidUnclear():
            return _AGAIN


def _by_policy(
    spoken: Spoken, expect: str, wording: Wording, context: ReadingContext
) -> _Outcome:
    """Ask the policy of a job that puts this question for the first time."""
    weighed = Weighed(
        key=expect, candidates=candidates_of(spoken.guesses), rest=spoken.rest
    )

    def prior(answer: Answer) -> float:
        if not isinstance(answer, NumberAnswer):
            return 0.0
        return prior_of_judgement(_judged(answer.amount.quantity, expect, context))

    match judged(weighed, prior=prior, tries=1, sure=spoken.sure, known=False):
        case (
            Accept(answer=NumberAnswer(amount=taken))
            | ReadBack(answer=NumberAnswer(amount=taken))
        ):
            return _believed(taken.quantity, expect, wording, context)
        case _:
            return _AGAIN


def _believed(
    quantity: Quantity, expect: str, wording: Wording, context: ReadingContext
) -> _Outcome:
    found = _judged(quantity, expect, context)
    if isinstance(found, Impossible):
        return _AGAIN
    own = unit_of(amount(quantity).of, wording.system)
    number = float(number_in(amount(quantity), own))
    return "confirm" if isinstance(found, Doubtful) else "accepted", number, own.id


def _judged(quantity: Quantity, expect: str, context: ReadingContext) -> Judgement:
    item = _ITEMS.get(expect)
    return Believable() if item is None else judge(item, quantity, context)

"""How sure several decodes of one sound make us.

Decodes vote with what they mean: "one eighteen" and "one hundred eighteen" agree. The
winner needs four votes of five, and the sound must fit its words not much worse than
it fits free phones. "stop" and "close" need fewer votes, since a false one costs a
moment and a missed one may cost the compressor; said short, they are found apart from
the votes, see :mod:`speech.urgent`.

The numbers below were chosen on synthetic voices (four of eSpeak NG) without noise and
with condenser-like noise 20, 15 and 10 dB (A-weighted) under the voice: 1232 readings,
640 designations, 576 controls and small talk. On other readings and phrases of the same
voices they then gave, right / turned away / wrong: readings 63 / 27 / 9.5 % of 640,
designations 92.5 / 6.6 / 0.9 % of 320, controls 72 / 23 / 5.9 % of 288, where most of
what is wrong is "closed" taken for "close"; 7 % of 128 sentences of small talk were
taken for a control, all of them for "repeat", "stop" or "close". They hold for this
engine and these voices only, and were counted before digits were loosened and stop was
looked for apart; what comes of whole dialogues since is in DEVELOPERS.md.
"""

from collections import Counter
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from speech.calibration import shipped_calibration
from speech.decoding import NOTHING, Decoded
from speech.names import Name
from speech.phrases import Phrases
from speech.ports import Guess
from speech.understanding import (
    Choice,
    Control,
    NameUnclear,
    Number,
    NumberOutOfRange,
    Unclear,
    Utterance,
    understand,
)
from speech.urgent import UrgentEvidence, said_urgently
from speech.vocabulary import ALWAYS, Vocabulary

_Kind = Literal["number", "name", "control"]

_NEEDED = 4
_URGENT_NEEDED = 2
_FEW_WORDS_NEEDED, _FEW_WORDS_FIT = 3, -8.0
"""The same where no number is due: with so few words to choose from, talk falls on stop
and close. Of 285 sentences of talk 28 did with a yes due, and 14 with these bounds."""
_LEAST_FIT: dict[_Kind, float] = {"number": -12.0, "name": -11.0, "control": -11.0}

_AGREED_FIT = -8.0
_STRICT_FIT = -9.0
"""For an ear that is never closed, which asks four votes of every word. Of 24 stop and
close words of three synthetic voices, 10 dB over fan noise and half of them over the
companion's own voice, 18 passed; of 36 sentences of small talk and 6 of its own none did,
the nearest at -10.9."""

# Right among accepted, by votes.
_CONFIDENCE: dict[_Kind, dict[int, float]] = {
    "number": {5: 0.95, 4: 0.8},
    "name": {5: 0.99, 4: 0.94},
    "control": {5: 0.95, 4: 0.75},
}
_LOW_CONFIDENCE = 0.5

_CALIBRATION = shipped_calibration("pocketsphinx")

_SURE_FIT = -4.0
_WORD_SURE_FIT = {"affirmative": -12.0}
_WORD_LEAST_FIT = {"affirmative": -13.5}
"""Four syllables are hard to take anything else for, so that all five votes for them are
enough in sound that fits them less well. Of 54 spoken by six synthetic voices, 5 to 15 dB
over fan noise, one was missed by the second figure, and 50 passed the first. Of 450 other
words and sentences of small talk none passed either, but for one made to sound like it;
the nearest with all votes was at -15.7."""
_SURE_WORDS = frozenset(
    {
        "affirmative",
        "emergency stop",
        "fully shut",
        "i am ready",
        "negative",
        "repeat",
        "say again",
        "wrong",
        "yes",
    }
)
"""With five votes and the fit above none of these was heard wrongly, but for one
"repeat". What the valve is said to be is left out: "valve closing" comes too near."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the decodes of one utterance showed.

    ``votes`` are the words of each decode. ``fit`` is how much better the words fit the
    sound than free phones do, in the engine's log scores a frame; mostly below zero.
    ``urgent`` is how the sound lies on the always obeyed words alone.
    """

    votes: tuple[str, ...]
    fit: float
    urgent: UrgentEvidence | None = None


def judge(evidence: Evidence, vocabulary: Vocabulary, phrases: Phrases) -> Decoded:
    """Accept the words that enough decodes agree on, or none; give all the guesses."""
    meanings = [
        (understand(each, vocabulary, phrases), each) for each in evidence.votes
    ]
    counted = Counter(meaning for meaning, _ in meanings if _kind(meaning) is not None)
    urgent = said_urgently(
        evidence.urgent,
        wary=vocabulary.wary,
        agreed=_agreed(counted, evidence),
        talking=vocabulary.talking,
    )
    if urgent:
        return Decoded(words=urgent, confidence=_LOW_CONFIDENCE, sure=False)
    if vocabulary.strict:
        counted = _clear(counted, evidence)
    winner = _winner(counted, _urgent_needed(evidence, vocabulary))
    kind = _kind(winner) if winner else None
    guesses = _guesses(evidence, meanings, counted)
    rest = _CALIBRATION.rest if guesses else 0.0
    if winner is None or kind is None:
        return replace(NOTHING, guesses=guesses, rest=rest)
    words = next(each for meaning, each in meanings if meaning == winner)
    votes = counted[winner]
    least, sure_from = _LEAST_FIT[kind], _SURE_FIT
    if evidence.votes.count(words) == len(evidence.votes):
        least = _WORD_LEAST_FIT.get(words, least)
        sure_from = _WORD_SURE_FIT.get(words, sure_from)
    if evidence.fit < least:
        return replace(NOTHING, guesses=guesses, rest=rest)
    sure = (
        votes == len(evidence.votes)
        and evidence.fit >= sure_from
        and words in _SURE_WORDS
        and kind == "control"
    )
    confidence = _CONFIDENCE[kind].get(votes, _LOW_CONFIDENCE)
    return Decoded(
        words=words, confidence=confidence, sure=sure, guesses=guesses, rest=rest
    )


def _guesses(
    evidence: Evidence,
    meanings: list[tuple[Utterance, str]],
    counted: Counter[Utterance],
) -> tuple[Guess, ...]:
    """Give every value that a decode heard, weighed by how many did.

    Sound that fits free phones much better than any of them is talk or noise.
    """
    if evidence.fit < _LEAST_FIT["number"]:
        return ()
    values = {
        meaning: next(words for other, words in meanings if other == meaning)
        for meaning in counted
        if isinstance(meaning, Number)
    }
    found = [
        _CALIBRATION.guess(words, counted[meaning] / len(evidence.votes))
        for meaning, words in values.items()
    ]
    return tuple(sorted(found, key=lambda each: -each.weight))


def _clear(counted: Counter[Utterance], evidence: Evidence) -> Counter[Utterance]:
    """Keep only what nearly all decodes heard, in sound that fits it."""
    if evidence.fit < _STRICT_FIT:
        return Counter()
    return Counter({each: n for each, n in counted.items() if n >= _NEEDED})


def _agreed(counted: Counter[Utterance], evidence: Evidence) -> bool:
    """Tell whether nearly all decodes heard the same number or other word, and well."""
    for meaning, votes in counted.items():
        if votes < _NEEDED:
            continue
        if isinstance(meaning, Number):
            return evidence.fit >= _AGREED_FIT
        urgent = isinstance(meaning, Control) and meaning.id in ALWAYS
        return not urgent and evidence.fit >= _LEAST_FIT["control"]
    return False


def _urgent_needed(evidence: Evidence, vocabulary: Vocabulary) -> int:
    """Give how many votes stop and close need."""
    if vocabulary.numbers is not None or vocabulary.wary or vocabulary.strict:
        return _URGENT_NEEDED
    fits = evidence.fit >= _FEW_WORDS_FIT
    return _FEW_WORDS_NEEDED if fits else len(evidence.votes) + 1


def _winner(counted: Counter[Utterance], urgent: int) -> Utterance | None:
    for control in ALWAYS:
        if counted[Control(id=control)] >= urgent:
            return Control(id=control)
    for meaning, votes in counted.most_common(1):
        if votes >= _NEEDED:
            return meaning
    return None


def _kind(meaning: Utterance) -> _Kind | None:
    match meaning:
        case Number() | NumberOutOfRange():
            return "number"
        case Name():
            return "name"
        case Control() | Choice():
            return "control"
        case NameUnclear() | Unclear():
            return None
        case _:
            assert_never(meaning)

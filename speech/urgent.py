"""Stop and close, looked for in every utterance apart from what else it may have been.

A short word drowns among the numbers of a prompt: "stop" in noise lies near "eight oh".
So the sound is also laid on "stop" and "close" alone, said once to three times or in their
long form, and what comes out is compared with two others: everything else that people say
to the companion, and any string of phones. The better it fits beside these, and the more of what was spoken
it covers, the surer it was said. A false one closes a valve, a missed one may hurt
somebody: the bounds lean to the side of hearing it, and further while the valve is open.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from speech.vocabulary import ALWAYS, CONTROLS, NumberRange, Vocabulary

PRONOUNCED: dict[str, tuple[str, ...]] = {
    "stop": ("S T AO P", "S T AH P", "S T OW P", "S D AA P")
}
"""Beside the dictionary's own: accents differ in the vowel, and noise takes the t."""
MOST_TIMES = 3
LONGER = {"stop": "emergency stop", "close": "close the valve"}
"""Their long forms, looked for beside them."""
_LONG = 2.2
"""So much more is asked for of a long form, which has sounds enough to lie on much. Of 390
readings at 5 dB and better six came to more than -0.5 without it, one of them to more than
0.9; of 60 long forms of ten synthetic voices, 15 to 5 dB over fan and blower noise, 55 came
to 1.9 and more, and to 1.0 two of the rest."""
OTHERS = Vocabulary(
    numbers=NumberRange(low=0, high=500),
    controls=tuple(each for each in CONTROLS if each not in ALWAYS),
)
"""What stop and close are held against, whatever is due: numbers and all other words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UrgentEvidence:
    """How an utterance lies on the urgent words.

    ``words`` is the likeliest of them. ``over_others`` is how much better they fit than
    everything else that is said here, in the engine's log scores; ``over_phones`` how much
    better than free phones, for each frame of them (mostly below zero); ``covers`` the
    share of the utterance that they take up, 1 and more where they fill it.
    """

    words: str
    over_others: float
    over_phones: float
    covers: float


USUAL = -0.5
"""From this weight on an urgent word counts as said. "Six four" of one voice, in 15 dB of
fan noise, came to -1.4; "stop" and "close" of six voices, 5 to 15 dB, to 4.9 and more, and
"stop stop" to 0.6 and more at 10 and 15 dB."""
WARY = -2.0
"""The same while the valve is open."""
TALKING_ONCE, TALKING_AGAIN = 3.0, 0.0
"""The same while the companion talks, for a word said once and for a repeated one. Of 18
"stop", "close" and "stop stop" of six voices over its own, which was 15 dB lower, all
passed with the second at 0.5; of its 90 sentences, as loud as the technician, two do."""
AGREED = 2.0
"""So much more is asked for where nearly all decodes heard the same, and well."""


_BEST = 8.0
"""Better than free phones by more than this an urgent word is only in a long utterance of
which it covers a small part: then the rest was laid on silence, and tells nothing."""


def weight(evidence: UrgentEvidence) -> float:
    """Weigh the evidence: natural logarithm of how much rather it was said than not.

    Fitted (logistic regression) to our own measurement, tests/benchmarks/hearing_stop.py
    and hearing_bank.py: 156 times "stop" and "close", once and twice, of ten synthetic
    voices 15 to 5 dB over fan and blower noise, against 285 sentences of talk, many of
    them near to these words, in three vocabularies each, and 195 spoken readings. With
    weights fitted to one synthesiser's voices and half of the rest, 97 % of the other's
    were taken, and 1.5 % and 3 % of the other halves.
    """
    over = min(max(evidence.over_others, -1000.0), 1000.0)
    covers = min(evidence.covers, 1.6)
    said = (
        -4.50
        + 2.81 * over / 1000
        + 0.65 * min(over, 400.0) / 1000
        + 0.334 * min(max(evidence.over_phones, -60.0), _BEST)
        + 5.83 * covers
    )
    if evidence.words in LONGER.values():
        return said - _LONG
    return said + (1.23 * covers - 3.57 if _again(evidence.words) else 0.0)


def _again(words: str) -> bool:
    """Tell whether the same is said more than once."""
    said = words.split()
    return len(set(said)) < len(said)


def phrase_grammar(phrases: Iterable[str]) -> str:
    """Give a JSGF grammar of nothing but these phrases."""
    return f"#JSGF V1.0;\ngrammar urgent;\npublic <said> = {' | '.join(phrases)};"


def urgent_phrases(vocabulary: Vocabulary) -> tuple[str, ...]:
    """Give what is looked for: the always obeyed words, and an ear's own for them."""
    own = vocabulary.choices.values() if vocabulary.strict else ()
    short = tuple(each for each in ALWAYS if each in vocabulary.controls)
    words = (*short, *(phrase for phrases in own for phrase in phrases))
    times = range(1, MOST_TIMES + 1)
    return (
        *(" ".join([word] * often) for word in words for often in times),
        *(LONGER[each] for each in short),
    )


def said_urgently(
    evidence: UrgentEvidence | None,
    *,
    wary: bool,
    agreed: bool = False,
    talking: bool = False,
) -> str:
    """Give the urgent words that were said, or "".

    ``wary`` is true where a missed word costs more than usual, ``agreed`` where nearly
    all decodes of the sound heard the same number or other word in it, and well, and
    ``talking`` where it may be the companion's own voice.
    """
    if evidence is None:
        return ""
    least = (WARY if wary else USUAL) + (AGREED if agreed else 0.0)
    if talking:
        least = max(least, TALKING_AGAIN if " " in evidence.words else TALKING_ONCE)
    return evidence.words if weight(evidence) >= least else ""

"""Stop and close, looked for in every utterance apart from what else it may have been.

A short word drowns among the numbers of a prompt: "stop" in noise lies near "eight oh".
So the sound is also laid on "stop" and "close" alone, said once to three times, and what
comes out is compared with two others: everything else that people say to the companion,
and any string of phones. The better it fits beside these, and the more of what was spoken
it covers, the surer it was said. A false one closes a valve, a missed one may hurt
somebody: the bounds lean to the side of hearing it, and further while the valve is open.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from speech.vocabulary import ALWAYS, CONTROLS, NumberRange, Vocabulary

PRONOUNCED = {"stop": ("S T AO P", "S T AH P", "S T OW P", "S D AA P")}
"""Beside the dictionary's own: accents differ in the vowel, and noise takes the t."""
MOST_TIMES = 3
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


USUAL = -1.5
"""From this weight on an urgent word counts as said."""
WARY = -3.0
"""The same while the valve is open."""


def weight(evidence: UrgentEvidence) -> float:
    """Weigh the evidence: natural logarithm of how much rather it was said than not.

    Fitted (logistic regression) to our own measurement, tests/benchmarks/hearing_stop.py:
    156 times "stop" and "close", once and twice, of ten synthetic voices 15 to 5 dB over
    fan and blower noise, and 285 sentences of talk, many of them near to these words, in
    three vocabularies each. From :data:`USUAL` on 99 % of the first were taken and 1 %
    of the others, and with weights fitted to one synthesiser's voices and half of the
    talk 98 and 100 % of the other's and 2 % of the other half.
    """
    times = len(evidence.words.split()) - 1
    covers = min(evidence.covers, 1.6)
    return (
        -4.59
        + 1.30 * min(max(evidence.over_others, -2000.0), 3000.0) / 1000
        + 0.314 * max(evidence.over_phones, -60.0)
        + 7.38 * covers
        + (4.84 * covers if times else 0.0)
        - 6.31 * times
    )


def phrase_grammar(phrases: Iterable[str]) -> str:
    """Give a JSGF grammar of nothing but these phrases."""
    return f"#JSGF V1.0;\ngrammar urgent;\npublic <said> = {' | '.join(phrases)};"


def urgent_phrases(vocabulary: Vocabulary) -> tuple[str, ...]:
    """Give what is looked for: the always obeyed words, and an ear's own for them."""
    own = vocabulary.choices.values() if vocabulary.strict else ()
    words = (
        *(each for each in ALWAYS if each in vocabulary.controls),
        *(phrase for phrases in own for phrase in phrases),
    )
    return tuple(
        " ".join([word] * times) for word in words for times in range(1, MOST_TIMES + 1)
    )


def said_urgently(evidence: UrgentEvidence | None, *, wary: bool) -> str:
    """Give the urgent words that were said, or "".

    ``wary`` is true where a missed word costs more than usual.
    """
    least = WARY if wary else USUAL
    return evidence.words if evidence and weight(evidence) >= least else ""

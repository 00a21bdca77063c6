"""Stop and close, looked for in every utterance apart from what else it may have been.

A short word drowns among the numbers of a prompt: "stop" in noise lies near "eight oh".
So the sound is also laid on "stop" and "close" alone, said once to three times, and what
comes out is compared with two others: everything else that people say to the companion,
and any string of phones. Where stop or close fits better than the first, not much worse
than the second, and covers what was spoken, it was said. A false one closes a valve, a
missed one may hurt somebody: the bounds lean far to the side of hearing it, and lean
further while the valve is open.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class UrgentBounds:
    """From where on an urgent word counts as said; as in :class:`UrgentEvidence`."""

    over_others: float
    over_phones: float
    covers: float


USUAL = UrgentBounds(over_others=300.0, over_phones=-20.0, covers=0.75)
WARY = UrgentBounds(over_others=0.0, over_phones=-25.0, covers=0.7)


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
    bounds = WARY if wary else USUAL
    if (
        evidence is None
        or evidence.over_others < bounds.over_others
        or evidence.over_phones < bounds.over_phones
        or evidence.covers < bounds.covers
    ):
        return ""
    return evidence.words

"""Weigh what was heard for the question that stands, and ask the policy what to do.

What speaks for a value beside its sound is gathered here; the sums are in ``trust``.
"""

from collections.abc import Iterable
from typing import assert_never

from companion.job.amounts import amount
from companion.job.facts import (
    Answer,
    AnswerWeighed,
    Candidate,
    NameAnswer,
    NumberAnswer,
    OptionAnswer,
)
from companion.job.inputs import (
    Guess,
    Heard,
    SaidChoice,
    SaidName,
    SaidQuantity,
)
from companion.job.items import AskQuestion
from companion.job.judging import Doubt, Refuse, judge_answer
from companion.job.know import Know
from companion.job.last_value import previous
from companion.job.questions import base_key
from companion.job.state import Job, Weighed
from companion.job.trust import (
    DOUBTFUL,
    IMPOSSIBLE,
    NEAR,
    Chance,
    Danger,
    Prior,
    Verdict,
    chances,
    known_voice,
    verdict,
)
from companion.job.turn import Turn
from companion.knowledge.judgements import (
    Believable,
    Doubtful,
    Impossible,
    Judgement,
)
from companion.knowledge.plausible import WINDOWS, as_read
from companion.knowledge.quantities import Quantity
from companion.knowledge.readings import ITEM_TYPES, Item

_ITEMS: dict[str, Item] = {item: item for item in ITEM_TYPES}
_USUAL = frozenset({"outdoor-temperature", "return-wet-bulb", "leak-state", "loss"})
"""Questions whose wrong answer another question or the proof at the end would show.
Any other wrong value may end in too much refrigerant, or in the wrong one."""


def danger_of(key: str) -> Danger:
    """Tell how grave it would be to take a wrong answer to a question."""
    return "usual" if base_key(key) in _USUAL else "grave"


def weigh(turn: Turn, item: AskQuestion, heard: Heard) -> Verdict:
    """Remember what an utterance tells of the values, and decide what to do."""
    turn.remember(
        AnswerWeighed(
            at=turn.at,
            key=item.key,
            candidates=candidates_of(heard.guesses),
            rest=heard.rest,
            words=heard.words,
        )
    )
    weighed = turn.job.weighed or Weighed(key=item.key)
    asked = turn.job.asked
    return judged(
        weighed,
        prior=prior_of(turn.job, turn.know, item.key),
        tries=1 if asked is None else asked.tries,
        sure=heard.sure,
        known=known_voice(turn.job.confirmed, turn.job.denied),
    )


def judged(
    weighed: Weighed, *, prior: Prior, tries: int, sure: bool, known: bool
) -> Verdict:
    """Give the policy's verdict on what was heard so far for a question."""
    found: tuple[Chance, ...] = chances(
        weighed.candidates, rest=weighed.rest, prior=prior, denied=weighed.denied
    )
    danger = danger_of(weighed.key)
    return verdict(found, tries=tries, danger=danger, known=known, certain=sure)


def candidates_of(guesses: Iterable[Guess]) -> tuple[Candidate, ...]:
    """Give the answers among what may have been said."""
    found: list[Candidate] = []
    for guess in guesses:
        answer: Answer
        match guess.said:
            case SaidQuantity(quantity=quantity):
                answer = NumberAnswer(amount=amount(quantity))
            case SaidName(designation=designation):
                answer = NameAnswer(designation=designation)
            case SaidChoice(option=option):
                answer = OptionAnswer(option=option)
            case _:
                continue
        found.append(Candidate(answer=answer, weight=guess.weight))
    return tuple(found)


def prior_of(job: Job, know: Know, key: str) -> Prior:
    """Give what speaks for and against a value of a question, apart from its sound.

    Only numbers are weighed so: a designation that does not match must be heard and
    refused aloud, not heard as another.
    """
    before = previous(job, key)

    def prior(answer: Answer) -> float:
        if not isinstance(answer, NumberAnswer):
            return 0.0
        match judge_answer(job, know, key, answer):
            case Refuse():
                return IMPOSSIBLE
            case Doubt():
                return DOUBTFUL
            case None:
                last = None if before is None else before.quantity
                return near(key, answer.amount.quantity, last)

    return prior


def prior_of_judgement(found: Judgement) -> float:
    """Give the same weight for a judgement made outside of a job."""
    match found:
        case Impossible():
            return IMPOSSIBLE
        case Doubtful():
            return DOUBTFUL
        case Believable():
            return 0.0
        case _:
            assert_never(found)


def near(key: str, value: Quantity, last: Quantity | None) -> float:
    """Give the weight of lying within the usual change since the last reading."""
    item = _ITEMS.get(base_key(key))
    if item is None or last is None or type(last) is not type(value):
        return 0.0
    step = WINDOWS[item].step
    if step is None:
        return 0.0
    return NEAR if abs(as_read(value) - as_read(last)) <= step else 0.0

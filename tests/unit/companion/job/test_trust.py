import math

import pytest

from companion.job.amounts import amount
from companion.job.facts import Answer, Candidate, NumberAnswer
from companion.job.trust import (
    Accept,
    AskAgain,
    Chance,
    Offer,
    ReadBack,
    chances,
    combined,
    known_voice,
    too_noisy,
    verdict,
)
from companion.knowledge.quantities import GaugePressure


def psi(value: float) -> NumberAnswer:
    return NumberAnswer(amount=amount(GaugePressure.from_psi(value)))


RIGHT, WRONG, THIRD = psi(118), psi(180), psi(80)


def said(answer: Answer, weight: float) -> Candidate:
    return Candidate(answer=answer, weight=weight)


def flat(_: Answer) -> float:
    return 0.0


def chance_of(answer: Answer, found: tuple[Chance, ...]) -> float:
    return next((each.chance for each in found if each.answer == answer), 0.0)


def test_chances_and_what_is_left_over_sum_to_one() -> None:
    found = chances([said(RIGHT, 1.0), said(WRONG, 1.0)], rest=1.0, prior=flat)
    assert [each.chance for each in found] == pytest.approx([1 / 3, 1 / 3])


def test_evidence_of_two_utterances_adds_up() -> None:
    first = (said(RIGHT, 0.5), said(WRONG, 0.6))
    both = combined(first, (said(RIGHT, 0.5), said(THIRD, 0.6)))
    assert both[0] == said(RIGHT, 1.0)
    once = chances(first, rest=0.0, prior=flat)
    twice = chances(both, rest=0.0, prior=flat)
    assert once[0].answer == WRONG
    assert twice[0].answer == RIGHT


def test_what_cannot_be_has_no_chance() -> None:
    def prior(answer: Answer) -> float:
        return -math.inf if answer == WRONG else 0.0

    found = chances([said(RIGHT, 0.0), said(WRONG, 9.0)], rest=0.0, prior=prior)
    assert found == (Chance(answer=RIGHT, chance=0.5),)
    assert chances([said(WRONG, 9.0)], rest=0.0, prior=prior) == ()


def test_a_denied_value_falls_behind_but_may_come_back() -> None:
    heard = [said(WRONG, 3.0), said(RIGHT, 0.0)]
    found = chances(heard, rest=0.0, prior=flat, denied=(WRONG,))
    assert found[0].answer == RIGHT
    again = [said(WRONG, 9.0), said(RIGHT, 0.0)]
    assert chances(again, rest=0.0, prior=flat, denied=(WRONG,))[0].answer == WRONG


TABLE = [
    # chances, tries, danger -> verdict
    ((0.95,), 1, "grave", "read back 1"),
    ((0.9, 0.05), 3, "grave", "read back 1"),
    ((0.87,), 1, "usual", "read back 1"),
    ((0.87,), 1, "grave", "read back 2"),
    ((0.55, 0.1), 1, "grave", "read back 2"),
    ((0.55, 0.3), 1, "grave", "offer"),
    ((0.75,), 2, "grave", "read back 2"),
    ((0.45, 0.42), 1, "grave", "offer"),
    ((0.45, 0.42), 3, "grave", "read back 2"),
    ((0.45, 0.1), 1, "grave", "plainly"),
    ((0.35, 0.1), 2, "grave", "by-digits"),
    ((0.35, 0.1), 3, "grave", "keys"),
    ((), 1, "grave", "plainly"),
    ((), 4, "usual", "keys"),
]


@pytest.mark.parametrize(("given", "tries", "danger", "expected"), TABLE)
def test_what_is_done(
    given: tuple[float, ...], tries: int, danger: str, expected: str
) -> None:
    answers = (RIGHT, WRONG)
    found = tuple(
        Chance(answer=answer, chance=chance)
        for answer, chance in zip(answers, given, strict=False)
    )
    match verdict(found, tries=tries, danger=danger):
        case ReadBack(answer=answer, times=times):
            assert answer == RIGHT
            assert expected == f"read back {times}"
        case Offer(first=first, second=second):
            assert (first, second) == (RIGHT, WRONG)
            assert expected == "offer"
        case AskAgain(how=how):
            assert expected == how
        case Accept():
            pytest.fail("nothing is taken from sound alone")


def test_only_what_is_certain_is_taken_at_once() -> None:
    found = (Chance(answer=RIGHT, chance=0.9),)
    assert verdict(found, tries=1, danger="grave", certain=True) == Accept(answer=RIGHT)
    weak = (Chance(answer=RIGHT, chance=0.4),)
    assert isinstance(verdict(weak, tries=1, danger="grave", certain=True), AskAgain)


def test_a_voice_that_is_not_known_is_read_back_twice() -> None:
    found = (Chance(answer=RIGHT, chance=0.95),)
    given = verdict(found, tries=1, danger="grave", known=False)
    assert given == ReadBack(answer=RIGHT, chance=0.95, times=2)


@pytest.mark.parametrize(
    ("confirmed", "denied", "known"),
    [
        (0, 0, False),
        (2, 0, False),
        (3, 0, True),
        (3, 1, False),
        (10, 1, True),
        (19, 2, False),
    ],
)
def test_a_voice_is_known_by_its_read_backs(
    confirmed: int, denied: int, known: bool
) -> None:
    assert known_voice(confirmed, denied) is known


@pytest.mark.parametrize(
    ("over_noise", "noisy"), [(None, False), (10.0, False), (3.5, False), (1.0, True)]
)
def test_too_noisy_is_said_only_where_it_is_known(
    over_noise: float | None, noisy: bool
) -> None:
    assert too_noisy(over_noise) is noisy

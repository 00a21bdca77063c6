from typing import get_args

import pytest

from companion.job.expectations import ALWAYS, EXPECTATIONS, Expectation
from companion.job.inputs import ControlWord
from companion.job.questions import QUESTIONS

WORDS = set(get_args(ControlWord))


@pytest.mark.parametrize("expected", EXPECTATIONS.values(), ids=EXPECTATIONS)
def test_each_takes_one_kind_of_answer_and_known_words(expected: Expectation) -> None:
    assert set(expected.controls) <= WORDS
    kinds = [bool(expected.of), bool(expected.options), expected.names]
    assert sum(kinds) <= 1
    if expected.of is not None:
        low, high = expected.bounds or pytest.fail("no bounds")
        assert low.of == high.of == expected.of
        assert low.si < high.si


def test_where_no_number_is_due_there_are_no_bounds() -> None:
    assert EXPECTATIONS["yes-no"].bounds is None


def test_every_question_expects_something_known() -> None:
    assert {each.expects for each in QUESTIONS.values()} <= set(EXPECTATIONS)


def test_stop_and_close_are_understood_at_every_moment() -> None:
    assert {"stop", "close"} <= set(ALWAYS) <= WORDS


def test_closed_is_understood_while_the_valve_is_not_closed() -> None:
    for moment in ("open-suction", "open-weight", "valve-closed"):
        assert "closed" in EXPECTATIONS[moment].controls


def test_opened_and_closed_are_not_taken_for_answers_elsewhere() -> None:
    at_the_valve = {"open-suction", "open-weight", "valve-closed"}
    for each in EXPECTATIONS.values():
        if each.id not in at_the_valve:
            assert not {"opened", "closed"} & set(each.controls)

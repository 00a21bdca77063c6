import pytest

from companion.job.amounts import amount
from companion.job.know import Know
from companion.job.outputs import Ask, Say
from companion.job.read_back import say_read_back, value_of
from companion.job.state import Pending
from companion.job.turn import Turn
from tests.unit.companion.job.conftest import PSI, answer_of, job_of

SUCTION = Pending(
    key="suction-pressure@2", answer=answer_of(PSI(120)), words="one two zero", doubt=""
)


@pytest.mark.parametrize(
    ("given", "value"),
    [("yes", "yes"), ("R-22", "R-22"), (PSI(120), amount(PSI(120)))],
)
def test_the_value_of_an_answer(given: object, value: object) -> None:
    assert value_of(answer_of(given)) == value


@pytest.mark.parametrize("doubt", ["", "it is far from the last"])
def test_it_is_read_back_with_what_is_odd_about_it(know: Know, doubt: str) -> None:
    waiting = Pending(
        key=SUCTION.key, answer=SUCTION.answer, words=SUCTION.words, doubt=doubt
    )
    turn = Turn(job_of(pending=waiting), 0, know)
    say_read_back(turn)
    said, asked = turn.decision().outputs
    assert isinstance(said, Say)
    assert said.cue == ("read-back-doubt" if doubt else "read-back")
    assert said.values["key"] == "suction-pressure"
    assert said.values["answer"] == amount(PSI(120))
    assert said.values.get("doubt", "") == doubt
    assert asked == Ask(expectation="read-back")


def test_without_a_waiting_answer_nothing_is_said(know: Know) -> None:
    turn = Turn(job_of(), 0, know)
    say_read_back(turn)
    assert turn.decision().outputs == ()

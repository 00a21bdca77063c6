from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checklists.loader import load_all
from checklists.model import AskStep, Checklist, Step
from checklists.walk import (
    Answer,
    Fix,
    Judgement,
    NotAnAnswer,
    Noted,
    Passed,
    Stop,
    Walk,
    judge,
    steps_for,
)

GOOD = load_all(Path(__file__).parents[2] / "data" / "good" / "checklists")
LIST: Checklist = GOOD["morning-walk"]
SHOES, GATE, STORM, LAMP = LIST.steps
ANSWERS: tuple[Answer, ...] = ("done", "yes", "no", "unknown")


@pytest.mark.parametrize(
    ("step", "answer", "expected"),
    [
        (SHOES, "done", Passed()),
        (SHOES, "yes", NotAnAnswer(expected=("done",))),
        (SHOES, "no", NotAnAnswer(expected=("done",))),
        (SHOES, "unknown", NotAnAnswer(expected=("done",))),
        (GATE, "yes", Passed()),
        (GATE, "no", Fix(remedy="Shut the gate.")),
        (GATE, "unknown", Fix(remedy="Shut the gate.")),
        (GATE, "done", NotAnAnswer(expected=("yes", "no"))),
        (STORM, "no", Passed()),
        (STORM, "yes", Stop(remedy="Stay at home.")),
        (STORM, "unknown", Stop(remedy="Stay at home.")),
        (LAMP, "yes", Passed()),
        (LAMP, "no", Noted(text="There was no lamp.")),
        (LAMP, "unknown", Noted(text="There was no lamp.")),
    ],
)
def test_what_an_answer_means(step: Step, answer: Answer, expected: Judgement) -> None:
    assert judge(step, answer) == expected


@pytest.mark.parametrize(
    ("context", "storm"),
    [
        ({}, True),
        ({"unit": "running"}, True),
        ({"unit": "off"}, False),
        ({"unit": "running", "method": "vapor"}, True),
        ({"unit": "running", "method": "liquid-pulses"}, False),
        ({"unit": "off", "method": "vapor"}, False),
        ({"metering": "electronic"}, True),
    ],
)
def test_a_step_is_left_out_only_where_the_job_is_known_to_differ(
    context: dict[str, str], storm: bool
) -> None:
    assert (STORM in steps_for(LIST, context)) is storm


@pytest.mark.parametrize(
    ("context", "ids"),
    [
        ({}, ["no-sparks", "window"]),
        ({"safety_group": "A1"}, []),
        ({"safety_group": "A3", "unit": "running"}, ["no-sparks"]),
    ],
)
def test_a_whole_list_may_not_apply(context: dict[str, str], ids: list[str]) -> None:
    assert [step.id for step in steps_for(GOOD["only-flammable"], context)] == ids


@pytest.mark.parametrize(
    ("context", "message"),
    [
        ({"safety": "A3"}, "context key 'safety' is not known; known: safety_group"),
        ({"safety_group": "a3"}, "'a3' is no safety_group; known: A1, A2L"),
    ],
)
def test_a_slip_in_the_context_is_refused(
    context: dict[str, str], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        steps_for(LIST, context)


def walk(*answers: Answer) -> Walk:
    return Walk(steps=LIST.steps, answers=answers)


def test_a_walk_from_end_to_end() -> None:
    here = walk()
    assert here.progress == (0, 4)
    for step, answer in zip(LIST.steps, ("done", "yes", "no", "no"), strict=True):
        assert here.current == step
        assert not here.complete
        here = here.answered(step.id, answer)  # type: ignore[arg-type]  # literals
    assert (here.current, here.complete, here.progress) == (None, True, (4, 4))
    assert here.noted == ((LAMP, Noted(text="There was no lamp.")),)
    assert here.stopped is None


def test_a_fix_or_a_wrong_word_leaves_the_step_open() -> None:
    here = walk("done")
    assert here.answered("gate-shut", "no") == here
    assert here.answered("gate-shut", "done") == here


def test_a_stop_ends_the_walk_until_it_is_taken_back() -> None:
    here = walk("done", "yes").answered("storm", "unknown")
    assert here.stopped == Stop(remedy="Stay at home.")
    assert (here.current, here.complete, here.progress) == (None, False, (2, 4))
    with pytest.raises(ValueError, match="'storm' was answered, but no step is open"):
        here.answered("storm", "no")
    again = here.back()
    assert (again.current, again.stopped) == (STORM, None)


def test_a_stop_on_the_last_step_is_not_complete() -> None:
    here = Walk(steps=(STORM,)).answered("storm", "yes")
    assert (here.complete, here.progress) == (False, (0, 1))


def test_back_takes_one_answer_and_stays_at_the_start() -> None:
    assert walk("done", "yes").back() == walk("done")
    assert walk().back() == walk()


def test_only_the_open_step_can_be_answered() -> None:
    with pytest.raises(ValueError, match=r"'lamp' was answered, .* step is 'shoes'"):
        walk().answered("lamp", "yes")


def test_no_steps_is_complete() -> None:
    empty = Walk(steps=())
    assert (empty.complete, empty.current, empty.progress) == (True, None, (0, 0))


@pytest.mark.parametrize(
    "answers",
    [
        ("yes",),
        ("done", "no"),
        ("done", "yes", "yes", "yes"),
        ("done", "yes", "no", "yes", "yes"),
    ],
)
def test_answers_that_cannot_have_been_kept_are_refused(
    answers: tuple[Answer, ...],
) -> None:
    with pytest.raises(ValueError, match=r"a walk (has|keeps)"):
        walk(*answers)


def test_two_steps_with_one_id_are_refused() -> None:
    with pytest.raises(ValueError, match="share an id: shoes, shoes"):
        Walk(steps=(SHOES, SHOES))


@given(st.lists(st.sampled_from(ANSWERS), max_size=20))
def test_complete_means_every_step_got_an_answer_that_lets_the_job_go_on(
    said: list[Answer],
) -> None:
    here = walk()
    settled: dict[str, Answer] = {}
    for answer in said:
        step = here.current
        if step is None:
            break
        following = here.answered(step.id, answer)
        if following != here:
            settled[step.id] = answer
            assert following.back() == here
        here = following
    if here.complete:
        for step in LIST.steps:
            answer = settled[step.id]
            if not isinstance(step, AskStep):
                assert answer == "done"
            elif step.otherwise != "note":
                assert answer == step.good

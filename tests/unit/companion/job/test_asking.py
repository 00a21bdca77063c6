import pytest

from checklists.model import AskStep as ListQuestion
from checklists.model import DoStep
from companion.job.asking import Put, expected, key_of, put, question, say_item
from companion.job.facts import QuestionAsked
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Blocked,
    Halt,
    Over,
    Pause,
)
from companion.job.know import Know
from companion.job.outputs import Ask, Say
from companion.job.questions import QUESTIONS
from companion.job.state import Asked, Waiting
from companion.job.turn import Turn
from tests.unit.companion.job.conftest import job_of, method, opening_plan

DO = DoStep(kind="do", id="a", say="Do it.", why="So.", source="from memory")
FIND_OUT = ListQuestion(
    kind="ask",
    id="b",
    caution="Mind the fan.",
    say="Is it so?",
    good="yes",
    otherwise="fix",
    remedy="Mend it.",
    why="So.",
    source="from memory",
)
PRESSURE = QUESTIONS["suction-pressure"]
ITEMS: list[tuple[Put, str, str]] = [
    (AskQuestion(question=PRESSURE, key="suction-pressure@2"), "suction-pressure@2", "suction-pressure"),
    (AskStep(step=DO, key="list/a", revision=1), "list/a", "done"),
    (AskStep(step=FIND_OUT, key="list/b", revision=1), "list/b", "yes-no"),
    (AskReady(plan=opening_plan(), key="ready#1"), "ready#1", "ready"),
    (Halt(reason="asked"), "halted", "halted"),
    (Blocked(device="record"), "blocked", "nothing"),
    (Pause(waiting=Waiting(purpose="settle", until=170.0)), "waiting", "waiting"),
    (Over(), "over", "nothing"),
]  # fmt: skip


@pytest.mark.parametrize(("item", "key", "expects"), ITEMS)
def test_each_item_has_a_key_and_an_expectation(
    item: Put, key: str, expects: str
) -> None:
    assert key_of(item) == key
    assert expected(item) == expects


@pytest.mark.parametrize(("item", "key", "expects"), ITEMS[:-1])
def test_putting_an_item_is_remembered_and_listened_for(
    know: Know, item: Put, key: str, expects: str
) -> None:
    turn = Turn(job_of(), 100.0, know)
    put(turn, item)
    decision = turn.decision()
    assert decision.facts == (
        QuestionAsked(at=100.0, key=key, expects=expects, tries=1),
    )
    assert decision.outputs[-1] == Ask(expectation=expects)
    said = [each for each in decision.outputs if isinstance(each, Say)]
    first_opening = isinstance(item, AskReady)
    assert len(said) == (0 if isinstance(item, Pause) else 1 + first_opening)


def test_the_end_of_the_job_stands_in_silence(know: Know) -> None:
    turn = Turn(job_of(outcome="target"), 100.0, know)
    put(turn, Over())
    assert turn.decision().facts == ()
    assert turn.decision().outputs == ()


def test_askings_of_the_same_item_are_counted(know: Know) -> None:
    asked = Asked(key="suction-pressure@2", expects="", tries=2, heard_at=0)
    for standing, tries in ((asked, 3), (None, 1)):
        turn = Turn(job_of(asked=standing), 100.0, know)
        put(turn, ITEMS[0][0])
        assert turn.decision().facts[0].tries == tries


SENTENCES = [
    (ITEMS[0][0], "ask", {"key": "suction-pressure"}),
    (ITEMS[1][0], "step", {"caution": "", "say": "Do it."}),
    (ITEMS[2][0], "step", {"caution": "Mind the fan.", "say": "Is it so?"}),
    (ITEMS[4][0], "halted", {"reason": "asked"}),
    (Halt(reason="step:list/b"), "halted", {"reason": "step"}),
    (ITEMS[5][0], "blocked", {"device": "record"}),
    (ITEMS[6][0], "waiting", {"seconds": 70}),
    (ITEMS[7][0], "over", {}),
]


@pytest.mark.parametrize(("item", "cue", "values"), SENTENCES)
def test_each_item_has_a_sentence(
    know: Know, item: Put, cue: str, values: dict[str, object]
) -> None:
    turn = Turn(job_of(), 100.0, know)
    say_item(turn, item)
    (said,) = turn.decision().outputs
    assert isinstance(said, Say)
    assert (said.cue, dict(said.values)) == (cue, values)


@pytest.mark.parametrize(
    ("name", "ceiling", "cue"),
    [
        ("liquid-pulses", True, "ready-pulse"),
        ("liquid-restrictor", True, "ready-pulse"),
        ("vapor", True, "ready-vapor"),
        ("weigh-in", False, "ready-weigh"),
    ],
)
def test_an_opening_is_asked_for_in_the_words_of_its_method(
    know: Know, name: str, ceiling: bool, cue: str
) -> None:
    plan = opening_plan(opening=2)
    if not ceiling:
        plan = opening_plan(opening=2, ceiling=None)
    turn = Turn(job_of(method=method(name)), 100.0, know)
    say_item(turn, AskReady(plan=plan, key="ready#2"))
    (said,) = turn.decision().outputs
    assert said.cue == cue
    limit = said.values["top"] if ceiling else said.values["stop"]
    assert limit == (plan.ceiling if ceiling else plan.stop_weight)


def test_before_the_first_opening_the_words_at_the_valve_are_told(know: Know) -> None:
    turn = Turn(job_of(method=method()), 100.0, know)
    say_item(turn, AskReady(plan=opening_plan(), key="ready#1"))
    assert [each.cue for each in turn.decision().outputs] == [
        "valve-words",
        "ready-pulse",
    ]


def test_an_answered_question_is_not_asked() -> None:
    job = job_of({"scale": "yes", "loss": "unknown"})
    assert question(job, "scale") is None
    assert question(job, "loss") is None
    assert question(job, "metering") == AskQuestion(
        question=QUESTIONS["metering"], key="metering"
    )


def test_each_round_asks_anew() -> None:
    job = job_of({"suction-pressure@0": "unknown"})
    asked = question(job, "suction-pressure", "@1")
    assert asked == AskQuestion(question=PRESSURE, key="suction-pressure@1")

from collections.abc import Callable
from typing import Any

import pytest

from checklists.model import AskStep as ListQuestion
from checklists.model import DoStep
from companion.job.facts import Halted, QuestionAsked, StepAnswered
from companion.job.items import AskStep
from companion.job.know import Know
from companion.job.steps import answer_step
from companion.job.turn import Turn
from tests.conftest import SITES, Play, cues
from tests.unit.companion.job.conftest import job_of

DO = DoStep(kind="do", id="a", say="Do it.", why="So.", source="from memory")


def ask(good: str, otherwise: str) -> ListQuestion:
    return ListQuestion(
        kind="ask",
        id="b",
        say="Is it so?",
        good=good,
        otherwise=otherwise,
        remedy="Mend it.",
        why="So.",
        source="from memory",
    )


TABLE = [
    # step, word -> answer and result kept, cues
    (DO, "done", ("done", "passed"), []),
    (DO, "yes", ("done", "passed"), []),
    (DO, "no", None, ["not-an-answer"]),
    (DO, "unknown", None, ["not-an-answer"]),
    (ask("yes", "fix"), "yes", ("yes", "passed"), []),
    (ask("yes", "fix"), "no", ("no", "fix"), ["step-fix"]),
    (ask("yes", "fix"), "unknown", ("unknown", "fix"), ["step-fix"]),
    (ask("yes", "fix"), "done", None, ["not-an-answer"]),
    (ask("no", "stop"), "no", ("no", "passed"), []),
    (ask("no", "stop"), "yes", ("yes", "stop"), ["step-stop"]),
    (ask("no", "stop"), "unknown", ("unknown", "stop"), ["step-stop"]),
    (ask("yes", "note"), "no", ("no", "noted"), ["step-note"]),
    (ask("yes", "note"), "unknown", ("unknown", "noted"), ["step-note"]),
]


@pytest.mark.parametrize(("step", "word", "kept", "said"), TABLE)
def test_what_an_answer_to_a_step_leads_to(
    know: Know, step: Any, word: str, kept: tuple[str, str] | None, said: list[str]
) -> None:
    key = f"list/{step.id}"
    turn = Turn(job_of(), 9.0, know)
    answer_step(turn, AskStep(step=step, key=key, revision=4), word)
    facts = turn.decision().facts
    assert cues(turn.decision()) == said
    if kept is None:
        assert facts == ()
        return
    assert facts[0] == StepAnswered(
        at=9.0, key=key, revision=4, answer=kept[0], result=kept[1]
    )
    assert (key in turn.job.answers) == (kept[1] in ("passed", "noted"))
    assert turn.job.notes == ((key,) if kept[1] == "noted" else ())
    after = {
        "stop": (Halted(at=9.0, reason=f"step:{key}"),),
        "fix": (QuestionAsked(at=9.0, key=key, expects="yes-no", tries=2),),
    }
    assert facts[1:] == after.get(kept[1], ())


def test_a_step_that_is_never_put_right_offers_a_way_out(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(SITES["liquid-pulses"], "pre-checks/airflow")
    said = [cues(job.hear("no")) for _ in range(4)]
    assert said[0] == said[2] == ["step-fix"]
    assert said[3] == ["step-stop", "halted"]
    assert job.job.halted == "step:pre-checks/airflow"
    assert cues(job.hear("continue"))[-1] == "step"
    assert job.job.halted is None


def test_the_remedy_is_said(know: Know) -> None:
    turn = Turn(job_of(), 9.0, know)
    item = AskStep(step=ask("yes", "fix"), key="list/b", revision=1)
    answer_step(turn, item, "no")
    assert turn.decision().outputs[0].values == {"remedy": "Mend it."}

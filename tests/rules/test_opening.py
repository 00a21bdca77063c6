"""Nothing opens by itself, early, unasked, or while something stands against it."""

from hypothesis import given
from hypothesis import strategies as st

from checklists.walk import judge, steps_for
from companion.job.evolve import fold
from companion.job.facts import (
    AnswerAccepted,
    Fact,
    MethodChosen,
    OpenCalled,
    OptionAnswer,
)
from companion.job.inputs import Heard, Pressed, Resumed, SaidControl
from companion.job.know import Know
from companion.job.questions import READINGS
from companion.job.state import Closed, Job
from companion.knowledge.catalogue import Refrigerant
from tests.conftest import Taken, hoses_on
from tests.rules.conftest import Move, Run, Runner, examples, moves


def openings(played: Run) -> list[tuple[Taken, int]]:
    """Give each step that called for an opening, and where among its facts."""
    return [
        (step, index)
        for step in played.steps
        for index, fact in enumerate(step.decision.facts)
        if isinstance(fact, OpenCalled)
    ]


def unit(job: Job, know: Know) -> Refrigerant:
    found = know.knowledge.catalogue.get(job.answers["unit-refrigerant"].designation)
    assert isinstance(found, Refrigerant)
    return found


def context(job: Job, know: Know) -> dict[str, str]:
    """Give all that checklist steps may depend on, from the answers alone."""
    assert job.method is not None
    method = job.method.method
    running = job.answers["unit-state"].option in ("cooling", "heating")
    return {
        "safety_group": unit(job, know).caution_group,
        "method": "liquid-pulses" if method == "liquid-restrictor" else method,
        "draw": job.method.draw,
        "cylinder": job.method.cylinder,
        "unit": "running" if running else "off",
        "scale": job.answers["scale"].option,
        "metering": job.answers["metering"].option,
    }


def unsettled(job: Job, know: Know) -> list[str]:
    """Name every step of the lists before an opening without a good answer."""
    known = context(job, know)
    lists = ["site-safety", "flammable-safety", "leak", "connect"]
    lists += ["pre-checks"] if known["unit"] == "running" else []
    lists += ["evacuated"] if known["method"] == "weigh-in" else []
    found = []
    for list_id in lists:
        for step in steps_for(know.checklists[list_id], known):
            answer = job.answers.get(f"{list_id}/{step.id}")
            given = answer.option if isinstance(answer, OptionAnswer) else "unknown"
            if judge(step, given).kind not in ("passed", "noted"):
                found.append(f"{list_id}/{step.id}")
    return found


@examples(250)
@given(st.data(), moves)
def test_nothing_opens_before_its_checklists_its_method_and_its_ready(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_charging(data, made)
    for step, index in openings(played):
        job, call = step.before, step.decision.facts[index]
        assert isinstance(call, OpenCalled)
        assert unsettled(job, played.know) == []
        assert job.method is not None
        assert job.answers["method-agreed"].option in ("done", "yes")
        ready = step.decision.facts[index - 1]
        assert isinstance(ready, AnswerAccepted)
        assert ready.key == f"ready#{call.opening}" == step.before.asked.key
        assert call.opening == len(job.pulses) + 1
        said = step.event
        by_word = isinstance(said, Heard) and said.said in (
            SaidControl(word="ready"),
            SaidControl(word="yes"),
        )
        assert by_word or said == Pressed(at=said.at, button="confirm")


@examples(250)
@given(st.data(), moves)
def test_nothing_opens_while_something_stands_against_it(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step, index in openings(run_charging(data, made)):
        job = fold(step.decision.facts[:index], step.before)
        assert job.valve == Closed()
        assert not job.missing & {"record", "speaker"}
        assert job.halted is None
        assert job.waiting is None
        assert job.charging_ended is None
        assert job.outcome is None


@examples(150)
@given(st.data(), moves)
def test_after_a_restart_nothing_opens_before_closed_is_confirmed(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    sure = True
    played = run_charging(data, made)
    facts = list(played.start.facts)
    for step in played.steps:
        hoses = hoses_on(facts)
        facts += step.decision.facts
        if isinstance(step.event, Resumed) and not step.before.finished and hoses:
            sure = False
            assert step.after.valve.kind == "closing"
        said = [fact.kind for fact in step.decision.facts]
        assert sure or "open-called" not in said
        sure = sure or "close-reported" in said


DISTURBS = ("open-called", "close-reported", "power-returned")
"""After each of these, planned or not, older readings say nothing any more."""


@examples(250)
@given(st.data(), moves)
def test_an_opening_rests_on_readings_taken_after_the_last_disturbance(
    run_reading: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_reading(data, made)
    facts = list(played.start.facts)
    for step in played.steps:
        for index, fact in enumerate(step.decision.facts):
            if isinstance(fact, OpenCalled):
                job = fold(step.decision.facts[:index], step.before)
                used = readings_used(job, fact)
                assert used <= accepted_since_disturbed(facts)
            facts.append(fact)


def readings_used(job: Job, plan: OpenCalled) -> set[str]:
    """Give the keys of the pressures and temperatures an opening is planned from."""
    if plan.base is None:
        return set()
    if job.method is not None and job.method.stop_by == "weight":
        return {f"suction-pressure#{plan.opening}"}
    last = f"@{len(job.rounds) - 1}"
    return {
        key
        for key in job.answers
        if key.endswith(last) and key.partition("@")[0] in READINGS
    }


def accepted_since_disturbed(facts: list[Fact]) -> set[str]:
    found: set[str] = set()
    for fact in facts:
        if fact.kind in DISTURBS:
            found = set()
        if isinstance(fact, AnswerAccepted):
            found.add(fact.key)
    return found


@examples(250)
@given(st.data(), moves)
def test_no_reading_counts_before_the_unit_has_settled(
    run_reading: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_reading(data, made)
    least = played.know.knowledge.limits.settle_far.s
    disturbed: float | None = None
    for fact in played.facts:
        if fact.kind in DISTURBS:
            disturbed = fact.at
        if not isinstance(fact, AnswerAccepted) or disturbed is None:
            continue
        if fact.key.partition("@")[0] in READINGS:
            assert fact.at - disturbed >= least


@examples(150)
@given(st.data(), moves)
def test_a_zeotrope_is_never_drawn_as_vapor(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run(data, made)
    for step in played.steps:
        for fact in step.decision.facts:
            if isinstance(fact, MethodChosen):
                zeotrope = unit(step.before, played.know).kind == "zeotrope"
                assert not zeotrope or (
                    fact.method != "vapor" and fact.draw == "liquid"
                )

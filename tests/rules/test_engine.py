"""Whatever comes in: the engine answers, changes nothing, and forgets nothing."""

from hypothesis import given
from hypothesis import strategies as st

from companion.job.deadlines import next_deadline
from companion.job.evolve import fold
from companion.job.inputs import Ticked
from companion.shell.journal import fact_from_json, fact_to_json
from tests.rules.conftest import Move, Runner, examples, moves


@examples(200)
@given(st.data(), moves)
def test_decide_takes_anything_and_the_facts_alone_are_the_job(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run(data, made)
    assert fold(played.facts) == played.job
    # Folded a second time, input by input: had ``decide`` changed a job in place,
    # the jobs kept on the way would differ from these.
    job = fold(played.start.facts)
    for step in played.steps:
        assert step.before == job
        job = fold(step.decision.facts, job)
        assert step.after == job


@examples(60)
@given(st.data(), moves)
def test_every_fact_of_a_job_survives_being_written_and_read(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for fact in run(data, made).facts:
        assert fact_from_json(fact_to_json(fact)) == fact


@examples(100)
@given(st.data(), moves)
def test_time_never_goes_back_and_a_wake_always_moves_the_deadline(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run(data, made).steps:
        assert step.after.at >= step.before.at
        times = [fact.at for fact in step.decision.facts]
        assert times == sorted(times)
        assert all(at >= step.before.at for at in times)
        due = next_deadline(step.before)
        if isinstance(step.event, Ticked) and due is not None and step.event.at >= due:
            later = next_deadline(step.after)
            assert later is None or later > due


@examples(150)
@given(st.data(), moves)
def test_whatever_happened_right_answers_bring_the_job_to_its_end(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run(data, made)
    played.finish()
    assert played.job.finished

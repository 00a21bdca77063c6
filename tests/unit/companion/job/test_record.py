from collections.abc import Callable

from companion.job.amounts import amount
from companion.job.facts import (
    AnswerAccepted,
    CloseCalled,
    CloseReported,
    DeviceWentMissing,
    Fact,
    Halted,
    JobFinished,
    OpenReadingSeen,
    OptionAnswer,
    PowerReturned,
    StepAnswered,
    WentBack,
)
from companion.job.record import OpeningEntry, job_record
from tests.conftest import SEA_LEVEL, Play
from tests.unit.companion.job.conftest import PSI, opening_plan

YES, NO = OptionAnswer(option="yes"), OptionAnswer(option="no")


def accepted(key: str, answer: OptionAnswer) -> AnswerAccepted:
    return AnswerAccepted(at=1, key=key, answer=answer, words="", by="voice")


def test_of_no_facts_there_is_an_empty_record() -> None:
    record = job_record([])
    assert (record.job, record.outcome, record.added) == ("", "", None)
    assert (record.answers, record.steps, record.openings) == ({}, (), ())


def test_a_whole_job(play: Callable[[], Play], site: object) -> None:
    played = play().walk(site)
    record, job = job_record(played.facts), played.job
    assert (record.job, record.outcome) == ("j1", job.outcome)
    assert record.ambient == amount(SEA_LEVEL)
    assert (record.started_at, record.ended_at) == (0.0, played.facts[-1].at)
    assert record.method == job.method
    assert record.rounds == job.rounds
    answers = {key: value for key, value in job.answers.items() if "/" not in key}
    assert record.answers == answers
    steps = {step.key for step in record.steps}
    assert steps == set(job.answers) - set(answers)
    assert [entry.number for entry in record.openings] == [
        pulse.number for pulse in job.pulses
    ]
    assert record.events == ()


def test_an_answer_taken_back_does_not_count() -> None:
    facts: list[Fact] = [
        accepted("dip-tube", YES),
        accepted("scale", YES),
        WentBack(at=2, key="scale"),
        WentBack(at=2, key="dip-tube"),
        accepted("dip-tube", NO),
    ]
    assert job_record(facts).answers == {"dip-tube": NO}


def test_a_step_keeps_its_last_answer() -> None:
    facts = [
        StepAnswered(at=at, key="leak/a", revision=1, answer=answer, result=result)
        for at, answer, result in ((1, "no", "fix"), (2, "yes", "passed"))
    ]
    (entry,) = job_record(facts).steps
    assert (entry.answer, entry.result, entry.at) == ("yes", "passed", 2)
    back = WentBack(at=3, key="leak/a")
    assert job_record([*facts, back]).steps == ()


def test_an_opening_runs_from_the_word_to_closed() -> None:
    plan = opening_plan(at=100.0)
    facts: list[Fact] = [
        plan,
        OpenReadingSeen(at=103, opening=1, reading=amount(PSI(126)), by="voice"),
        OpenReadingSeen(at=104, opening=1, reading=amount(PSI(124)), by="voice"),
        CloseCalled(at=110, opening=1, reason="planned"),
        CloseCalled(at=111, opening=1, reason="restart"),
        CloseReported(at=113, opening=1, by="voice"),
        CloseCalled(at=120, opening=1, reason="asked"),
        CloseReported(at=121, opening=1, by="voice"),
    ]
    assert job_record(facts).openings == (
        OpeningEntry(
            number=1,
            called_at=100.0,
            open_s=13.0,
            base=plan.base,
            peak=amount(PSI(126)),
            reason="planned",
        ),
    )


def test_a_job_that_was_cut_off_has_a_record_too() -> None:
    (entry,) = job_record([opening_plan(at=100.0)]).openings
    assert (entry.open_s, entry.reason, entry.peak) == (None, "", None)


def test_what_went_wrong_is_kept_with_its_time() -> None:
    facts: list[Fact] = [
        Halted(at=5, reason="noise"),
        DeviceWentMissing(at=6, device="speaker", reason=""),
        PowerReturned(at=7),
        JobFinished(at=9, outcome="ended-early", added=None),
    ]
    record = job_record(facts)
    assert record.events == (
        (5, "stopped: noise"),
        (6, "speaker lost"),
        (7, "the companion started again"),
    )
    assert (record.outcome, record.ended_at) == ("ended-early", 9)

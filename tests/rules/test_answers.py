"""What counts as an answer, and what the weights come to."""

from hypothesis import given
from hypothesis import strategies as st

from companion.job.amounts import Amount
from companion.job.facts import (
    Answer,
    AnswerAccepted,
    AnswerDenied,
    AnswerDoubted,
    JobFinished,
    NumberAnswer,
    StepAnswered,
    WentBack,
)
from companion.job.inputs import (
    Heard,
    Pressed,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidQuantity,
)
from companion.job.questions import QUESTIONS, base_key
from tests.rules.conftest import Move, Runner, examples, moves

VALUES = (SaidQuantity, SaidName, SaidChoice)


@examples(200)
@given(st.data(), moves)
def test_an_unsure_value_never_counts_without_a_yes(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run(data, made).steps:
        event = step.event
        unsure = isinstance(event, Heard) and not event.sure
        if unsure and isinstance(event.said, VALUES):
            assert not any(
                isinstance(fact, AnswerAccepted) for fact in step.decision.facts
            )


@examples(200)
@given(st.data(), moves)
def test_what_was_read_back_counts_only_after_a_yes_of_its_own(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    """A value heard surely may replace it; the value that waited may not."""
    for step in run(data, made).steps:
        waiting = step.before.pending
        for fact in step.decision.facts:
            if not isinstance(fact, AnswerAccepted) or waiting is None:
                continue
            if fact.key == waiting.key and fact.answer == waiting.answer:
                assert _says_yes(step.event) or _says_it_again(step.event)


def _says_yes(event: object) -> bool:
    match event:
        case Heard(said=SaidControl(word="yes" | "done")):
            return True
        case Pressed(button="confirm"):
            return True
        case _:
            return False


def _says_it_again(event: object) -> bool:
    return isinstance(event, Heard) and event.sure and isinstance(event.said, VALUES)


@examples(200)
@given(st.data(), moves)
def test_one_unsure_yes_no_or_unknown_never_settles_a_question_or_step(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run(data, made).steps:
        match step.event:
            case Heard(sure=False, said=SaidControl(word="yes" | "no" | "unknown")):
                pass
            case _:
                continue
        waiting = step.before.pending
        for fact in step.decision.facts:
            if isinstance(fact, StepAnswered):
                assert waiting is not None
                assert waiting.key == fact.key
            if isinstance(fact, AnswerAccepted) and not fact.key.startswith("ready#"):
                assert waiting is not None
                assert waiting.key == fact.key


@examples(200)
@given(st.data(), moves)
def test_a_designation_is_always_read_back_first(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run(data, made)
    doubted: dict[str, Answer] = {}
    for fact in played.facts:
        if isinstance(fact, AnswerDoubted):
            doubted[fact.key] = fact.answer
        if isinstance(fact, AnswerAccepted) and fact.answer.kind == "name":
            assert doubted.get(fact.key) == fact.answer
        if isinstance(fact, AnswerDenied):
            doubted.pop(fact.key, None)


@examples(200)
@given(st.data(), moves)
def test_an_answer_is_of_the_kind_that_was_asked_for(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for key, answer in run(data, made).job.answers.items():
        if "/" in key:
            assert answer.kind == "option"
            continue
        assert base_key(key) in QUESTIONS
        assert _fits(base_key(key), answer), (key, answer)


def _fits(key: str, answer: Answer) -> bool:
    kind = answer.kind
    if key.endswith("refrigerant"):
        return kind == "name" or (kind == "option" and answer.option == "unknown")
    if isinstance(answer, NumberAnswer):
        return answer.amount.of == _kind(key)
    return kind == "option" and (not _kind(key) or answer.option == "unknown")


def _kind(key: str) -> str:
    if key.endswith("-pressure"):
        return "gauge-pressure"
    if key.endswith(("weight", "-adder", "factory-charge")):
        return "mass"
    if key == "target-subcooling":
        return "temperature-difference"
    measured = ("-temperature", "-bulb")
    return "temperature" if key.endswith(measured) else ""


@examples(250)
@given(st.data(), moves)
def test_what_was_added_is_the_first_weight_less_the_last(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_charging(data, made)
    played.finish()
    weights: dict[str, Amount] = {}
    for fact in played.facts:
        match fact:
            case AnswerAccepted(answer=NumberAnswer(amount=seen)):
                weights[fact.key] = seen
            case WentBack():
                weights.pop(fact.key, None)
            case JobFinished(added=None):
                assert {"cylinder-weight#0", "cylinder-weight#end"} - set(weights)
            case JobFinished(added=Amount() as gone):
                first, last = (
                    weights["cylinder-weight#0"],
                    weights["cylinder-weight#end"],
                )
                assert gone == Amount(of="mass", si=first.si - last.si)
            case _:
                pass


@examples(150)
@given(st.data(), moves)
def test_going_back_takes_back_the_latest_answer_and_nothing_else(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run(data, made).steps:
        answers = dict(step.before.answers)
        for fact in step.decision.facts:
            if isinstance(fact, WentBack):
                assert fact.key == step.before.order[-1]
                del answers[fact.key]
                assert dict(step.after.answers) == answers


@examples(150)
@given(st.data(), moves)
def test_a_step_counts_only_with_an_answer_that_lets_the_job_go_on(
    run: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run(data, made).steps:
        for fact in step.decision.facts:
            if isinstance(fact, StepAnswered) and fact.result in ("fix", "stop"):
                assert fact.key not in step.after.answers
            if isinstance(fact, StepAnswered) and fact.result == "stop":
                assert step.after.halted == f"step:{fact.key}"

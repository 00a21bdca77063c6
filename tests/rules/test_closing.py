"""An open valve always gets its close call, and only "closed" ends that call."""

from collections.abc import Callable, Sequence

from hypothesis import given
from hypothesis import strategies as st

from companion.job.amounts import amount
from companion.job.evolve import REACTION_S
from companion.job.facts import (
    CloseCalled,
    CloseRepeated,
    CloseReported,
    Fact,
    OpenCalled,
)
from companion.job.inputs import (
    Heard,
    Pressed,
    Resumed,
    SaidControl,
    SaidQuantity,
    Sampled,
)
from companion.job.outputs import Light, Say, Tone
from companion.job.state import Closed, Closing, Open, Opening
from companion.job.turn import Decision
from companion.knowledge.quantities import GaugePressure
from tests.conftest import Taken, hoses_on
from tests.rules.conftest import Move, Run, Runner, examples, plans, valve_moves

REPEAT_AT_LATEST_S = 4.0
AT_THE_VALVE = frozenset(
    {
        "open-called",
        "open-reported",
        "open-reading-seen",
        "close-called",
        "close-repeated",
        "close-reported",
        "answer-doubted",
        "explained",
        "halted",
        "device-went-missing",
        "device-came-back",
        "power-returned",
    }
)
"""All that may happen from the word "open" until "closed" is confirmed."""


def called_three_ways(decision: Decision) -> bool:
    """Tell whether voice, lamp and tone are all urgent in this decision."""
    urgent = [each for each in decision.outputs if each.urgent]
    return (
        any(isinstance(each, Say) and each.cue.startswith("close") for each in urgent)
        and any(isinstance(each, Light) and each.pattern != "off" for each in urgent)
        and any(isinstance(each, Tone) and each.pattern == "danger" for each in urgent)
    )


def calls(step: Taken) -> bool:
    return any(
        isinstance(fact, CloseCalled | CloseRepeated) for fact in step.decision.facts
    )


def check_closed_in_time(facts: Sequence[Fact]) -> None:
    latest: float | None = None
    for fact in facts:
        if isinstance(fact, OpenCalled):
            latest = fact.at + REACTION_S + fact.limit_s
        if isinstance(fact, CloseCalled):
            assert latest is None or fact.at <= latest
            latest = None
    assert latest is None


@examples(250)
@given(st.data(), valve_moves)
def test_an_open_valve_gets_its_close_call_by_the_limit(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_charging(data, made)
    played.settle()
    check_closed_in_time(played.facts)


@examples(250)
@given(plans, valve_moves)
def test_so_it_does_however_the_opening_was_planned(
    run_opening: Callable[[OpenCalled, list[Move]], Run],
    plan: OpenCalled,
    made: list[Move],
) -> None:
    played = run_opening(plan, made)
    played.settle()
    check_closed_in_time(played.facts)


@examples(200)
@given(st.data(), valve_moves)
def test_a_close_call_is_voice_lamp_and_tone_at_once(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run_charging(data, made).steps:
        if calls(step):
            assert called_three_ways(step.decision)
        opened = isinstance(step.before.valve, Opening | Open)
        if opened and not isinstance(step.after.valve, Opening | Open):
            assert any(isinstance(fact, CloseCalled) for fact in step.decision.facts)


@examples(200)
@given(st.data(), valve_moves)
def test_the_close_call_repeats_until_closed_is_reported(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    called_at: float | None = None
    for step in run_charging(data, made).steps:
        if called_at is not None:
            assert step.at - called_at <= REPEAT_AT_LATEST_S
        for fact in step.decision.facts:
            match fact:
                case CloseCalled() | CloseRepeated():
                    called_at = step.at
                case CloseReported():
                    called_at = None
                case _:
                    pass
        if isinstance(step.before.valve, Closing) and called_at is not None:
            assert isinstance(step.after.valve, Closing)


@examples(200)
@given(st.data(), valve_moves)
def test_nothing_else_happens_until_closed_is_confirmed(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run_charging(data, made).steps:
        valve = step.before.valve
        for fact in step.decision.facts:
            if not isinstance(valve, Closed):
                assert fact.kind in AT_THE_VALVE
            if isinstance(fact, CloseReported):
                valve = Closed()
        assert isinstance(step.after.valve, Closed) or step.after.asked is None


@examples(200)
@given(st.data(), valve_moves)
def test_stop_and_close_are_always_obeyed(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_charging(data, made)
    facts = list(played.start.facts)
    for step in played.steps:
        event = step.event
        word = event.said.word if _is_word(event) else ""
        stop = word == "stop" or event == Pressed(at=event.at, button="stop")
        if (stop or word == "close") and not isinstance(step.before.valve, Closed):
            assert called_three_ways(step.decision)
            assert isinstance(step.after.valve, Closing)
        if word == "close" and hoses_on(facts):
            assert isinstance(step.after.valve, Closing)
        if stop and not step.before.finished:
            assert step.after.halted is not None
            assert isinstance(step.after.valve, Closing) or not hoses_on(facts)
        facts += step.decision.facts


def _is_word(event: object) -> bool:
    return isinstance(event, Heard) and isinstance(event.said, SaidControl)


@examples(200)
@given(st.data(), valve_moves)
def test_a_reading_at_the_ceiling_is_a_close_call_in_the_same_decision(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    for step in run_charging(data, made).steps:
        valve = step.before.valve
        plan = valve.plan if isinstance(valve, Open) else valve
        if not isinstance(plan, Opening) or plan.ceiling is None:
            continue
        seen = _pressure(step.event)
        if seen is not None and amount(seen).si >= plan.ceiling.si:
            assert called_three_ways(step.decision)
            assert isinstance(step.after.valve, Closing)


def _pressure(event: object) -> GaugePressure | None:
    match event:
        case Heard(said=SaidQuantity(quantity=GaugePressure() as seen)):
            return seen
        case Sampled(readings={"suction-pressure": GaugePressure() as seen}):
            return seen
        case _:
            return None


@examples(200)
@given(st.data(), valve_moves)
def test_one_unsure_closed_never_ends_the_close_call(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    heard_before = False
    for step in run_charging(data, made).steps:
        ended = any(isinstance(fact, CloseReported) for fact in step.decision.facts)
        unsure = (
            isinstance(step.event, Heard)
            and step.event.said == SaidControl(word="closed")
            and not step.event.sure
        )
        if unsure and isinstance(step.before.valve, Closing) and not heard_before:
            assert not ended
            heard_before = True
        if any(isinstance(f, CloseCalled | CloseReported) for f in step.decision.facts):
            heard_before = False


@examples(150)
@given(st.data(), valve_moves)
def test_a_restart_with_hoses_on_makes_safe_first(
    run_charging: Runner, data: st.DataObject, made: list[Move]
) -> None:
    played = run_charging(data, made)
    hoses = hoses_on(played.facts)
    decision = played.give(Resumed(at=played.at + 100))
    if (hoses or not isinstance(played.steps[-1].before.valve, Closed)) and not (
        played.job.finished
    ):
        assert called_three_ways(decision)
        assert isinstance(played.job.valve, Closing)

"""The valve's machine: the printed table as it must read, and each of its rows."""

from dataclasses import replace
from typing import Any

import pytest

from companion.job import pulses
from companion.job.amounts import amount
from companion.job.evolve import REACTION_S, fold
from companion.job.facts import (
    CloseCalled,
    CloseReported,
    Fact,
    OpenCalled,
    OpenReported,
)
from companion.job.items import AskReady
from companion.job.know import Know
from companion.job.opening_plans import ceiling
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.pulses import (
    ALARM_AFTER_S,
    LEAST_S,
    REPORT_LAG_S,
    SAMPLE_S,
    TABLE,
    close_due,
    deadline,
    printed_table,
)
from companion.job.state import Closed, Closing, Job, Open, Opening
from companion.job.turn import Turn
from companion.job.weigh_in import next_item
from companion.knowledge.quantities import GaugePressure, Mass
from companion.shell.units import number_in, unit_of
from tests.conftest import cues, kinds, urgent_kinds
from tests.unit.companion.job.conftest import OZ, PSI, job_of, method, opening_plan

GOLDEN = """\
state    event             does        next
closed   ready             open-call   opening
closed   opened            close-call  closing
closed   closed            refuse      closed
closed   reading           refuse      closed
closed   reading-at-limit  refuse      closed
closed   due               refuse      closed
closed   silence           refuse      closed
closed   close             close-call  closing
opening  ready             refuse      opening
opening  opened            note        open
opening  closed            close-call  closing
opening  reading           note        opening
opening  reading-at-limit  close-call  closing
opening  due               close-call  closing
opening  silence           close-call  closing
opening  close             close-call  closing
open     ready             refuse      open
open     opened            note        open
open     closed            close-call  closing
open     reading           note        open
open     reading-at-limit  close-call  closing
open     due               close-call  closing
open     silence           close-call  closing
open     close             close-call  closing
closing  ready             refuse      closing
closing  opened            repeat      closing
closing  closed            shut        closed
closing  reading           refuse      closing
closing  reading-at-limit  refuse      closing
closing  due               repeat      closing
closing  silence           repeat      closing
closing  close             repeat      closing"""

PLAN = opening_plan(at=100.0)
SAID_OPEN = OpenReported(at=103.0, opening=1)
CALLED = CloseCalled(at=110.0, opening=1, reason="planned")
STATES: dict[str, list[Fact]] = {
    "closed": [],
    "opening": [PLAN],
    "open": [PLAN, SAID_OPEN],
    "closing": [PLAN, SAID_OPEN, CALLED],
}
NOW = 112.0


def job_in(state: str, plan: OpenCalled = PLAN) -> Job:
    facts = [plan if fact is PLAN else fact for fact in STATES[state]]
    return fold(facts, job_of({"connect/hoses": "yes"}, method=method()))


def turn_in(know: Know, state: str, at: float = NOW, plan: OpenCalled = PLAN) -> Turn:
    return Turn(job_in(state, plan), at, know)


def bring(turn: Turn, event: str) -> None:
    """Let an event of the table happen."""
    match event:
        case "ready":
            pulses.call_open(turn, opening_plan())
        case "opened":
            pulses.opened(turn)
        case "closed":
            pulses.closed(turn, sure=True, by="voice")
        case "reading":
            pulses.reading(turn, PSI(121), "voice")
        case "reading-at-limit":
            pulses.reading(turn, PSI(130), "voice")
        case "due" | "silence":
            pulses.tick(turn)
        case "close":
            pulses.call_close(turn, "asked")


def moment(state: str, event: str) -> float:
    """Give when an event of time happens in a state."""
    valve = job_in(state).valve
    if event == "silence" and isinstance(valve, Opening | Open):
        return valve.heard_at + PLAN.silence_s
    return deadline(valve) or NOW


def test_the_printed_table_reads_as_it_must() -> None:
    assert printed_table() == GOLDEN


def test_every_state_meets_every_event() -> None:
    events = {event for _, event in TABLE}
    assert set(TABLE) == {(state, event) for state in STATES for event in events}


DONE = {
    "open-call": ["open-called"],
    "close-call": ["close-called"],
    "repeat": ["close-repeated"],
    "shut": ["close-reported"],
    "refuse": [],
}


@pytest.mark.parametrize(("row", "does"), TABLE.items())
def test_each_row_is_what_happens(
    know: Know, row: tuple[str, str], does: tuple[str, str]
) -> None:
    state, event = row
    if event == "silence" and state in ("opening", "open"):
        plan = replace(PLAN, silence_s=0.5)  # heard of last long before it is due
        turn = turn_in(know, state, 104.6, plan)
    else:
        at = moment(state, event) if event in ("due", "silence") else NOW
        turn = turn_in(know, state, at)
    bring(turn, event)
    found = kinds(turn.decision())
    if does[0] == "note":
        noted = {"opened": "open-reported", "reading": "open-reading-seen"}[event]
        assert found == ([] if row == ("open", "opened") else [noted])
    else:
        seen = [kind for kind in found if kind != "open-reading-seen"]
        assert seen == DONE[does[0]]
    assert turn.job.valve.kind == does[1]


@pytest.mark.parametrize("state", ["closed", "opening", "open"])
@pytest.mark.parametrize("reason", ["asked", "noise", "device", "restart"])
def test_a_close_call_is_voice_lamp_and_tone_before_the_record(
    know: Know, state: str, reason: Any
) -> None:
    turn = turn_in(know, state)
    pulses.call_close(turn, reason)
    assert turn.decision().outputs == (
        Say(cue=f"close-{reason}", urgent=True),
        Light(lamp="attention", pattern="blink", urgent=True),
        Tone(pattern="danger", urgent=True),
        Ask(expectation="valve-closed"),
    )


def test_after_a_while_the_repeated_call_is_an_alarm(know: Know) -> None:
    job, said = job_in("closing"), []
    while len(said) < 10:
        turn = Turn(job, deadline(job.valve), know)
        pulses.tick(turn)
        call, light, tone, _ = turn.decision().outputs
        assert (tone.pattern, tone.urgent) == ("danger", True)
        early = turn.at - CALLED.at < ALARM_AFTER_S
        assert light.pattern == ("blink" if early else "fast")
        assert not (early and call.cue == "close-alarm")
        said.append(call.cue)
        job = turn.job
    assert set(said) == {"close-again", "close-alarm"}


def test_the_word_to_open_carries_its_plan_and_what_to_call_out(know: Know) -> None:
    for top, expects in ((PLAN.ceiling, "open-suction"), (None, "open-weight")):
        turn = turn_in(know, "closed")
        pulses.call_open(turn, opening_plan(ceiling=top))
        (called,) = turn.decision().facts
        assert called == opening_plan(at=NOW, ceiling=top)
        assert turn.decision().outputs == (
            Say(cue="open-now", values={"kind": "liquid", "hint": "same"}),
            Light(lamp="attention", pattern="steady"),
            Tone(pattern="information"),
            Ask(expectation=expects),
        )


def test_a_weigh_in_is_counted_down(know: Know) -> None:
    plan = opening_plan(
        base=None, ceiling=None, stop_weight=amount(OZ(200)), limit_s=120.0
    )
    job, said = fold([plan], job_of()), []
    for at, ounces in ((110, 240), (120, 231), (130, 220), (140, 207.9), (150, 207)):
        turn = Turn(job, float(at), know)
        pulses.reading(turn, OZ(ounces), "voice")
        said += cues(turn.decision())
        job = turn.job
    assert said.count("to-go") == 2  # below 32 and below 8 ounces to go


def test_a_fast_rise_is_called_ahead_and_a_high_one_eased(know: Know) -> None:
    plan = opening_plan(planned_s=14.0, hard=amount(PSI(135)))
    job = fold([plan, OpenReported(at=104.5, opening=1)], job_of())
    turn = Turn(job, 106.0, know)
    pulses.reading(turn, PSI(121), "voice")
    turn = Turn(turn.job, 109.0, know)
    pulses.reading(turn, PSI(126), "voice")
    assert cues(turn.decision()) == ["ease-off"]
    assert kinds(turn.decision()) == ["open-reading-seen", "hand-advised"]
    fast = fold([plan, OpenReported(at=104.5, opening=1)], job_of())
    turn = Turn(fast, 106.0, know)
    pulses.reading(turn, PSI(128), "voice")
    assert cues(turn.decision()) == ["close-ahead"]
    assert isinstance(turn.job.valve, Closing)


@pytest.mark.parametrize("state", ["opening", "open", "closing"])
def test_a_second_ready_opens_nothing(know: Know, state: str) -> None:
    turn = turn_in(know, state)
    pulses.call_open(turn, opening_plan())
    assert turn.decision().facts == ()
    assert cues(turn.decision()) == ["not-now"]


DUE = [
    # planned, limit, reported open at -> close call at
    (6.0, 15.0, None, 100 + PLAN.lead_s + 6),  # opened when the hand usually opens
    (14.0, 15.0, None, 100 + PLAN.lead_s + 14),
    (6.0, 15.0, 103.0, 103 + 6 - REPORT_LAG_S),
    (2.0, 15.0, 103.0, 103 + LEAST_S),  # no sooner after "opened" was heard
    (14.0, 15.0, 118.0, 100 + REACTION_S + 15),  # the limit counts from the word
]


@pytest.mark.parametrize(("planned", "limit", "reported", "due"), DUE)
def test_when_the_close_call_is_due(
    planned: float, limit: float, reported: float | None, due: float
) -> None:
    plan = opening_plan(at=100.0, planned_s=planned, limit_s=limit)
    facts: list[Fact] = [plan]
    if reported is not None:
        facts.append(OpenReported(at=reported, opening=1))
    valve = fold(facts, job_of()).valve
    assert isinstance(valve, Opening | Open)
    assert close_due(valve) == due


@pytest.mark.parametrize(
    ("state", "silence", "cue"),
    [
        ("opening", 60.0, "close-planned"),
        ("opening", 3.0, "close-silence"),
        ("open", 60.0, "close-planned"),
        ("open", 2.0, "close-silence"),
    ],
)
def test_silence_closes_before_the_plan_does(
    know: Know, state: str, silence: float, cue: str
) -> None:
    plan = replace(PLAN, silence_s=silence)
    due = deadline(job_in(state, plan).valve)
    assert due is not None
    early, late = (turn_in(know, state, at, plan) for at in (due - 0.01, due))
    pulses.tick(early)
    assert early.decision().facts == ()
    pulses.tick(late)
    assert cues(late.decision()) == [cue]


def test_a_word_puts_silence_off(know: Know) -> None:
    turn = turn_in(know, "open", 105.0, replace(PLAN, silence_s=3.0))
    before = deadline(turn.job.valve)
    pulses.reading(turn, PSI(122), "voice")
    after = deadline(turn.job.valve)
    assert (before, after) == (106.0, 107.0), "then the plan is next"


PRESSURES = [
    # psi -> state after
    (-5.0, "open"),
    (129.9, "open"),
    (130.0, "closing"),
    (400.0, "closing"),
]


@pytest.mark.parametrize(("psi", "state"), PRESSURES)
@pytest.mark.parametrize("by", ["voice", "typed", "sensor"])
def test_a_pressure_at_the_ceiling_closes(
    know: Know, psi: float, state: str, by: Any
) -> None:
    turn = turn_in(know, "open", 105.0)
    pulses.reading(turn, PSI(psi), by)
    assert turn.job.valve.kind == state
    if state == "closing":
        assert cues(turn.decision()) == ["close-pressure"]


WEIGHTS = [
    # pounds called out, each with its time -> state after; it stops at 6 kg
    ([(105.0, 7.0)], "open"),
    ([(105.0, 6.0)], "closing"),
    ([(105.0, 5.0)], "closing"),
    ([(105.0, 7.0), (110.0, 6.9)], "open"),
    ([(105.0, 7.0), (110.0, 6.5)], "open"),
    # 0.1 kg/s: 0.4 kg more flow while the hand closes
    ([(105.0, 6.9), (110.0, 6.4)], "closing"),
    ([(105.0, 6.9), (110.0, 6.41)], "open"),
    # a weight that rises is no flow
    ([(105.0, 6.2), (110.0, 6.3)], "open"),
]


@pytest.mark.parametrize(("called_out", "state"), WEIGHTS)
def test_the_close_call_comes_ahead_of_the_weight(
    know: Know, called_out: list[tuple[float, float]], state: str
) -> None:
    plan = opening_plan(
        at=100.0,
        base=None,
        ceiling=None,
        stop_weight=amount(Mass(6.0)),
        planned_s=119.0,
        limit_s=120.0,
    )
    job = job_in("open", plan)
    for at, kilograms in called_out:
        turn = Turn(job, at, know)
        pulses.reading(turn, Mass(kilograms), "voice")
        job = turn.job
    assert job.valve.kind == state
    if isinstance(job.valve, Closing):
        assert job.valve.reason == "weight"


def test_a_pressure_means_nothing_where_the_unit_is_off(know: Know) -> None:
    plan = opening_plan(ceiling=None, base=None, stop_weight=amount(Mass(6.0)))
    turn = turn_in(know, "open", 105.0, plan)
    pulses.reading(turn, PSI(600), "voice")
    assert isinstance(turn.job.valve, Open)


def test_a_sensor_is_remembered_once_a_second(know: Know) -> None:
    job = job_in("open")
    kept = []
    for tenth in range(1, 31):
        turn = Turn(job, 103.0 + tenth / 10, know)
        pulses.reading(turn, PSI(121), "sensor")
        kept += turn.decision().facts
        job = turn.job
    assert len(kept) == pytest.approx(3 / SAMPLE_S, abs=1)


def test_an_unsure_closed_is_asked_for_once_more(know: Know) -> None:
    first = turn_in(know, "closing")
    pulses.closed(first, sure=False, by="voice")
    assert kinds(first.decision()) == ["answer-doubted", "close-repeated"]
    assert urgent_kinds(first.decision().outputs) == {"say", "light", "tone"}
    assert cues(first.decision()) == ["closed-again"]
    assert isinstance(first.job.valve, Closing)
    second = Turn(first.job, NOW + 1, know)
    pulses.closed(second, sure=False, by="voice")
    assert second.job.valve == Closed()
    assert second.job.pending is None


@pytest.mark.parametrize("by", ["voice", "button", "typed"])
def test_a_sure_closed_ends_it(know: Know, by: Any) -> None:
    turn = turn_in(know, "closing")
    pulses.closed(turn, sure=True, by=by)
    assert turn.decision().facts == (CloseReported(at=NOW, opening=1, by=by),)
    assert turn.decision().outputs == (
        Say(cue="closed-heard"),
        Light(lamp="attention", pattern="off"),
    )


def test_closed_said_of_a_closed_valve_changes_nothing(know: Know) -> None:
    turn = turn_in(know, "closed")
    pulses.closed(turn, sure=True, by="voice")
    assert cues(turn.decision()) == ["already-closed"]
    assert turn.decision().facts == ()


def test_a_close_call_of_a_closed_valve_counts_no_new_opening(know: Know) -> None:
    turn = turn_in(know, "closed")
    pulses.call_close(turn, "asked")
    assert turn.decision().facts == (CloseCalled(at=NOW, opening=0, reason="asked"),)


def test_a_closed_valve_needs_no_looking_at() -> None:
    assert deadline(Closed()) is None


def test_a_pressure_is_watched_from_the_word_open(know: Know) -> None:
    turn = turn_in(know, "opening", 101.0)
    pulses.reading(turn, GaugePressure(PLAN.ceiling.si), "voice")
    assert isinstance(turn.job.valve, Closing)


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-22", "R-134a", "R-32"])
def test_the_limit_as_it_was_said_closes(know: Know, refrigerant: str) -> None:
    """Told "close at once at 120", a technician who calls out 120 must be heard."""
    unit = unit_of("gauge-pressure", "us")
    for base in range(30, 160):
        job = job_of({"unit-refrigerant": refrigerant})
        top = amount(ceiling(job, know, PSI(base)))
        said = float(number_in(top, unit))
        turn = turn_in(know, "open", 105.0, opening_plan(at=100.0, ceiling=top))
        pulses.reading(turn, PSI(said), "voice")
        assert isinstance(turn.job.valve, Closing), (base, said, top)


def test_the_weight_as_it_was_said_closes(know: Know) -> None:
    unit = unit_of("mass", "us")
    for charge in range(20, 200):
        job = job_of(
            {
                "factory-charge": Mass.from_oz(charge),
                "charge-adder": Mass.from_oz(4.3),
                "cylinder-weight#0": Mass.from_oz(333.3),
                "unit-state": "evacuated",
                "long-hose": "no",
            },
            method=method("weigh-in", stop_by="weight"),
        )
        item = next_item(job, know)
        assert isinstance(item, AskReady)
        stop = item.plan.stop_weight
        said = float(number_in(stop, unit))
        plan = opening_plan(at=100.0, base=None, ceiling=None, stop_weight=stop)
        turn = turn_in(know, "open", 105.0, plan)
        pulses.reading(turn, Mass.from_oz(said), "voice")
        assert isinstance(turn.job.valve, Closing), (charge, said, stop)

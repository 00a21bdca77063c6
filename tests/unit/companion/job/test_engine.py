from collections.abc import Callable
from typing import Any

import pytest

from companion.job.charge import STALE_S
from companion.job.engine import decide
from companion.job.evolve import fold
from companion.job.facts import (
    AnswerAccepted,
    DeviceCameBack,
    DeviceWentMissing,
    JobStarted,
    OpenReadingSeen,
    PowerReturned,
)
from companion.job.inputs import (
    Begun,
    DeviceFound,
    DeviceLost,
    Heard,
    Pressed,
    Resumed,
    SaidControl,
    SaidQuantity,
    Sampled,
    Ticked,
)
from companion.job.know import Know
from companion.job.state import Closed, Closing, Job, Open, Opening
from companion.knowledge.quantities import GaugePressure, Mass, Temperature
from tests.conftest import SEA_LEVEL, SITES, Play, asked_key, asks, cues, kinds

LIQUID, WEIGH_IN = SITES["liquid-pulses"], SITES["weigh-in"]


def test_a_job_begins_with_its_first_question(play: Callable[[], Play]) -> None:
    (step,) = play().steps
    started = step.decision.facts[0]
    assert isinstance(started, JobStarted)
    assert (started.job, started.units) == ("j1", "us")
    assert kinds(step.decision) == ["job-started", "question-asked"]
    assert cues(step.decision) == ["welcome", "ask"]
    assert asks(step.decision) == ["refrigerant"]


def test_a_job_begins_once(play: Callable[[], Play]) -> None:
    job = play()
    decision = job.give(Begun(at=5, job="other", ambient=SEA_LEVEL))
    assert decision.facts == ()
    assert job.job.id == "j1"


@pytest.mark.parametrize(
    "event",
    [
        Heard(at=1, said=SaidControl(word="yes"), words="", sure=True),
        Heard(at=1, said=SaidControl(word="closed"), words="", sure=True),
        Heard(at=1, said=SaidQuantity(quantity=Mass(1)), words="", sure=True),
        Pressed(at=1, button="confirm"),
        Sampled(at=1, readings={"suction-pressure": GaugePressure(8e5)}),
        Ticked(at=1),
        Resumed(at=1),
        DeviceLost(at=1, device="microphone"),
        DeviceFound(at=1, device="microphone"),
    ],
)
def test_before_a_job_nothing_is_asked_and_nothing_opens(
    know: Know, event: object
) -> None:
    decision = decide(Job(), event, know)
    after = fold(decision.facts)
    assert not after.started
    assert after.valve == Closed()
    assert after.answers == {}


def test_a_late_input_does_not_turn_time_back(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "metering")
    then = job.job.at
    decision = job.hear("fixed orifice", after=-100)
    assert {fact.at for fact in decision.facts} == {then}


RESUMED = [
    # moment -> cue, state of the valve
    ("metering", "resumed", Closed),
    ("method-agreed", "resumed", Closed),
    ("connect/purge", "close-restart", Closing),
    ("ready#1", "close-restart", Closing),
    ("opening", "close-restart", Closing),
    ("open", "close-restart", Closing),
    ("closing", "close-restart", Closing),
    ("waiting", "close-restart", Closing),
    ("close-out/hoses-off", "close-restart", Closing),
    ("close-out/ports-tight", "resumed", Closed),
]


@pytest.mark.parametrize(("moment", "cue", "valve"), RESUMED)
def test_after_a_power_cut_it_makes_safe_first(
    play: Callable[[], Play], moment: str, cue: str, valve: type
) -> None:
    job = play()
    if moment in ("opening", "open", "closing"):
        job.walk(LIQUID, lambda now: now.valve.kind == moment)
    else:
        job.walk_to(LIQUID, moment)
    decision = job.give(Resumed(at=job.at + 300))
    assert isinstance(decision.facts[0], PowerReturned)
    assert cues(decision)[0] == cue
    assert isinstance(job.job.valve, valve)


def test_a_finished_job_is_not_resumed(play: Callable[[], Play]) -> None:
    job = play().walk(LIQUID)
    decision = job.give(Resumed(at=job.at))
    assert (decision.facts, decision.outputs) == ((), ())


def test_after_a_power_cut_the_round_is_taken_again(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "liquid-pressure@1")
    job.give(Resumed(at=job.at + 300))
    job.hear("valve closed")
    assert asked_key(job.job) == "cylinder-valve-shut@1"
    job.hear("affirmative")
    assert asked_key(job.job) == "waiting"
    job.tick()
    assert asked_key(job.job) == "suction-pressure@1"


@pytest.mark.parametrize(
    "device", ["microphone", "recogniser", "keyboard", "speaker", "record"]
)
@pytest.mark.parametrize("moment", ["opening", "open"])
def test_losing_what_watches_the_valve_is_a_close_call(
    play: Callable[[], Play], device: str, moment: str
) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == moment)
    decision = job.give(DeviceLost(at=job.at, device=device, reason="gone"))
    assert isinstance(job.job.valve, Closing)
    assert cues(decision) == ["close-device", "device-lost"]
    assert all(each.urgent for each in decision.outputs if each.kind != "ask")


def test_losing_the_lamps_leaves_the_valve_alone(play: Callable[[], Play]) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == "open")
    decision = job.give(DeviceLost(at=job.at, device="board", reason="gone"))
    assert isinstance(job.job.valve, Open)
    assert kinds(decision) == ["device-went-missing"]


def test_a_device_is_lost_once_and_found_once(play: Callable[[], Play]) -> None:
    job = play()
    lost = DeviceLost(at=1, device="microphone", reason="unplugged")
    assert job.give(lost).facts == (
        DeviceWentMissing(at=1, device="microphone", reason="unplugged"),
    )
    assert job.give(lost).facts == ()
    decision = job.give(DeviceFound(at=2, device="microphone"))
    assert decision.facts[0] == DeviceCameBack(at=2, device="microphone")
    assert cues(decision) == ["device-found", "ask"]
    assert job.give(DeviceFound(at=3, device="microphone")).facts == ()


@pytest.mark.parametrize("device", ["record", "speaker"])
def test_nothing_opens_without_record_and_speaker(
    play: Callable[[], Play], device: str
) -> None:
    job = play().walk_to(LIQUID, "ready#1")
    decision = job.give(DeviceLost(at=job.at, device=device, reason="gone"))
    assert cues(decision) == ["device-lost", "blocked"]
    job.said(SaidControl(word="ready"))
    job.press("confirm")
    assert job.job.valve == Closed()
    decision = job.give(DeviceFound(at=job.at, device=device))
    assert asked_key(job.job) == "ready#1"
    job.hear("i am ready")
    assert isinstance(job.job.valve, Opening)


def test_a_sensor_answers_the_question_that_stands(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0")
    seen = GaugePressure.from_psi(119)
    decision = job.give(
        Sampled(
            at=job.at,
            readings={
                "liquid-line-temperature": Temperature(310),
                "suction-pressure": seen,
            },
        )
    )
    accepted = decision.facts[0]
    assert isinstance(accepted, AnswerAccepted)
    assert (accepted.key, accepted.by) == ("suction-pressure@0", "sensor")
    assert accepted.answer.amount.quantity == seen
    assert cues(decision)[0] == "heard"


@pytest.mark.parametrize("moment", ["metering", "ready#1", "waiting"])
def test_a_sensor_answers_nothing_else(play: Callable[[], Play], moment: str) -> None:
    job = play().walk_to(LIQUID, moment)
    seen = {"suction-pressure": GaugePressure.from_psi(119)}
    decision = job.give(Sampled(at=job.at, readings=seen))
    assert not set(kinds(decision)) - {"suction-watched"}


SUCTION_MOVED = [(2.0, "ready#1"), (-2.0, "ready#1"), (5.0, "suction-pressure@1")]


@pytest.mark.parametrize(("moved", "key"), SUCTION_MOVED)
def test_suction_that_has_moved_on_before_the_word_open_is_read_again(
    play: Callable[[], Play], moved: float, key: str
) -> None:
    job = play().walk_to(LIQUID, "ready#1")
    for psi in (120.0, 120.0 + moved):
        seen = {"suction-pressure": GaugePressure.from_psi(psi)}
        job.give(Sampled(at=job.at + 1, readings=seen))
    assert asked_key(job.job) == key


def test_ready_said_for_old_readings_opens_nothing(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "ready#1")
    job.at += STALE_S + 30
    decision = job.hear("ready")
    assert cues(decision)[0] == "readings-old"
    assert isinstance(job.job.valve, Closed)
    assert asked_key(job.job) == "suction-pressure@1"


def test_what_the_sensor_still_sees_while_the_hand_closes_is_kept(
    play: Callable[[], Play],
) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == "open")
    for psi in (140.0, 155.0, 155.5, 150.0):
        seen = {"suction-pressure": GaugePressure.from_psi(psi)}
        job.give(Sampled(at=job.at + 1, readings=seen))
    valve = job.job.valve
    assert isinstance(valve, Closing)
    assert valve.peak is not None
    assert valve.peak.quantity == GaugePressure.from_psi(155.0)


def test_a_sensor_watches_the_open_valve(play: Callable[[], Play]) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == "open")
    low = {"suction-pressure": GaugePressure.from_psi(124)}
    decision = job.give(Sampled(at=job.at + 1, readings=low))
    (seen,) = decision.facts
    assert isinstance(seen, OpenReadingSeen)
    assert job.give(Sampled(at=job.at + 0.5, readings=low)).facts == ()
    high = {"suction-pressure": GaugePressure.from_psi(135)}
    job.give(Sampled(at=job.at, readings=high))
    assert isinstance(job.job.valve, Closing)


def test_a_sensor_is_not_asked_while_the_valve_is_to_be_closed(
    play: Callable[[], Play],
) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == "closing")
    low = {"suction-pressure": GaugePressure.from_psi(60)}
    assert job.give(Sampled(at=job.at, readings=low)).facts == ()
    assert isinstance(job.job.valve, Closing)


AT_THE_VALVE = [
    # state of the valve, word -> state after
    ("opening", "opened", "open"),
    ("opening", "closed", "closing"),
    ("opening", "yes", "opening"),
    ("opening", "ready", "opening"),
    ("open", "opened", "open"),
    ("open", "closed", "closing"),
    ("open", "no", "open"),
    ("open", "wait", "closing"),
    ("opening", "wait", "closing"),
    ("closing", "opened", "closing"),
    ("closing", "closed", "closed"),
    ("closing", "yes", "closing"),
    ("closing", "done", "closing"),
    ("closing", "continue", "closing"),
]


@pytest.mark.parametrize(("state", "word", "after"), AT_THE_VALVE)
def test_what_a_word_does_at_the_valve(
    play: Callable[[], Play], state: str, word: str, after: str
) -> None:
    job = play().walk(LIQUID, lambda now: now.valve.kind == state)
    job.said(SaidControl(word=word))
    assert job.job.valve.kind == after


def test_opened_when_nothing_should_be_open_is_a_close_call(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "ready#1")
    decision = job.said(SaidControl(word="opened"))
    assert cues(decision) == ["close-unsure"]
    assert isinstance(job.job.valve, Closing)


def test_closed_with_nothing_open_is_as_it_should_be(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0")
    decision = job.hear("fully shut")
    assert cues(decision) == ["already-closed", "ask"]
    assert asked_key(job.job) == "suction-pressure@0"


@pytest.mark.parametrize("word", ["no", "unknown"])
@pytest.mark.parametrize("site", [LIQUID, WEIGH_IN])
def test_the_long_wait_needs_the_cylinder_shut(
    play: Callable[[], Play], site: Any, word: str
) -> None:
    job = play().walk(
        site, lambda now: asked_key(now).startswith("cylinder-valve-shut")
    )
    key = asked_key(job.job)
    decision = job.hear(word)
    assert cues(decision) == ["do-first", "ask"]
    assert asked_key(job.job) == key


def test_a_unit_that_is_not_started_leaves_the_charge_unproved(
    play: Callable[[], Play],
) -> None:
    job = play().walk_to(WEIGH_IN, "unit-running")
    assert cues(job.hear("negative")) == ["read-back-doubt"]
    assert cues(job.hear("negative"))[0] == "denied"
    job.hear("negative")
    decision = job.hear("affirmative")
    assert "charging-ended" in kinds(decision)


def test_wrong_takes_back_the_last_answer(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "scale")
    assert kinds(job.hear("wrong"))[0] == "went-back"


@pytest.mark.parametrize("word", ["opened", "close"])
@pytest.mark.parametrize(
    "moment", ["ready#1", "suction-line-temperature@0", "liquid-pressure@1"]
)
def test_readings_from_before_an_opening_nobody_asked_for_are_old(
    play: Callable[[], Play], moment: str, word: str
) -> None:
    job = play().walk_to(LIQUID, moment)
    job.said(SaidControl(word=word))
    job.hear("valve closed")
    if asked_key(job.job).startswith("cylinder-valve-shut"):
        job.hear("affirmative")
    if job.job.waiting is not None:
        job.tick()
    assert asked_key(job.job) == f"suction-pressure@{len(job.job.rounds)}"


@pytest.mark.parametrize("word", ["opened", "close"])
@pytest.mark.parametrize("final", [False, True])
def test_an_opening_nobody_asked_for_begins_the_wait_anew(
    play: Callable[[], Play], word: str, final: bool
) -> None:
    """Else the last minute of a wait would be all that the unit gets to settle."""
    job = play().walk(
        LIQUID,
        lambda now: (
            now.waiting is not None and (now.waiting.purpose == "final") == final
        ),
    )
    until = job.job.waiting.until
    job.give(Ticked(at=until - 2))
    job.said(SaidControl(word=word), after=0.5)
    job.hear("valve closed", after=0.5)
    assert job.job.waiting is not None
    assert job.job.waiting.until >= until + 70


def test_an_impossible_sensor_value_is_left(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "liquid-pressure@0")
    low = {"liquid-pressure": GaugePressure.from_psi(90)}
    assert job.give(Sampled(at=job.at, readings=low)).facts == ()
    assert asked_key(job.job) == "liquid-pressure@0"


@pytest.mark.parametrize("site", [LIQUID, WEIGH_IN])
def test_a_number_no_gauge_can_show_closes_the_valve(
    play: Callable[[], Play], site: object
) -> None:
    job = play().walk(site, lambda now: now.valve.kind == "open")
    job.hear("nine thousand")
    assert isinstance(job.job.valve, Closing)


def test_a_weight_called_out_is_watched(play: Callable[[], Play]) -> None:
    job = play().walk(WEIGH_IN, lambda now: now.valve.kind == "open")
    job.hear("two five zero")
    assert isinstance(job.job.valve, Open)
    job.hear("two two zero")
    assert isinstance(job.job.valve, Closing)
    assert job.job.valve.reason == "weight"


def test_a_wait_ends_by_itself(play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "waiting")
    until = job.job.waiting.until
    assert job.give(Ticked(at=until - 0.1)).facts == ()
    assert kinds(job.give(Ticked(at=until))) == ["wait-ended", "question-asked"]

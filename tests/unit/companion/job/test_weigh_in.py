from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pytest

from companion.job import weigh_in
from companion.job.hose import content
from companion.job.items import (
    AskQuestion,
    AskReady,
    EndCharging,
    JudgeRound,
    StartWait,
)
from companion.job.know import Know
from companion.job.opening_plans import MOST_OPENINGS, SHORTEST_S
from companion.job.questions import READINGS
from companion.job.state import Job
from companion.knowledge.quantities import Mass
from tests.unit.companion.job.conftest import OZ, PSI, F, job_of, judged, method, pulse

UNIT: dict[str, Any] = {
    "unit-refrigerant": "R-410A",
    "unit-state": "evacuated",
    "metering": "thermostatic",
    "factory-charge": OZ(80),
    "charge-adder": OZ(8),
    "low-side-hose": "done",
    "long-hose": "no",
}


def weighing(weights: list[float], **fields: Any) -> Job:
    """Make a weigh-in with the cylinder's weights [oz] before and after openings."""
    answers = {**UNIT, **fields.pop("answers", {})}
    for number, ounces in enumerate(weights):
        answers[f"cylinder-weight#{number}"] = OZ(ounces)
    off = {"base": None, "peak": None}
    openings = len(weights) - 1
    done = tuple(pulse(number + 1, 60, **off) for number in range(openings))
    chosen = method("weigh-in", stop_by="weight")
    return job_of(answers, method=chosen, pulses=fields.pop("pulses", done), **fields)


def without_hose(job: Job) -> Job:
    """Give the job as if nobody had been asked about the hose."""
    bare = {key: each for key, each in job.answers.items() if key != "long-hose"}
    return replace(job, answers=MappingProxyType(bare))


@pytest.mark.parametrize(
    ("answers", "ounces"),
    [
        ({}, 88),
        ({"charge-adder": OZ(0)}, 80),
        ({"charge-adder": "unknown"}, 80),
        ({"factory-charge": "unknown"}, None),
    ],
)
def test_the_charge_is_the_plate_and_the_line(
    answers: dict[str, Any], ounces: float | None
) -> None:
    found = weigh_in.target(job_of({**UNIT, **answers}))
    assert (found is None) if ounces is None else found.oz == pytest.approx(ounces)


@pytest.mark.parametrize(
    ("weights", "left"), [([300.0], 88), ([300.0, 260.0], 48), ([300.0, 205.0], -7)]
)
def test_what_is_still_to_go(weights: list[float], left: float) -> None:
    found = weigh_in.remaining(weighing(weights))
    assert found is not None
    assert found.oz == pytest.approx(left)


def test_without_a_weight_nothing_is_known() -> None:
    assert weigh_in.remaining(job_of(UNIT)) is None


def test_the_weight_is_asked_before_and_after_every_opening(know: Know) -> None:
    for job, key in (
        (weighing([]), "cylinder-weight#0"),
        (weighing([300.0], pulses=(pulse(1),)), "cylinder-weight#1"),
    ):
        item = weigh_in.next_item(job, know)
        assert isinstance(item, AskQuestion)
        assert item.key == key


def test_an_opening_stops_at_the_weight(know: Know) -> None:
    item = weigh_in.next_item(weighing([300.0, 260.0]), know)
    assert isinstance(item, AskReady)
    plan = item.plan
    assert (item.key, plan.opening) == ("ready#2", 2)
    assert plan.stop_weight is not None
    # 1.8 oz of liquid stay in the hose, and the weight said is rounded up.
    assert Mass(plan.stop_weight.si).oz == pytest.approx(300 - 88 + 2)
    assert (plan.base, plan.ceiling) == (None, None)
    assert (plan.planned_s, plan.limit_s) == (119.0, 120.0)
    assert plan.silence_s == 20.0


HOSES = [
    # longer than 5 ft, refrigerant -> content [oz]
    ("no", "R-410A", 1.8),  # 5 ft of a quarter inch, as the procedure reckons it
    ("yes", "R-410A", 3.6),
    ("unknown", "R-410A", 3.6),
    ("no", "R-22", 2.0),
]


@pytest.mark.parametrize(("longer", "name", "ounces"), HOSES)
def test_what_the_hose_holds_is_left_in_the_cylinder(
    know: Know, longer: str, name: str, ounces: float
) -> None:
    answers = {"long-hose": longer, "unit-refrigerant": name}
    assert content(job_of(answers), know).oz == pytest.approx(ounces, abs=0.06)
    assert content(job_of(), know) == Mass(0)


def test_the_hose_is_asked_about_once_before_the_first_opening(know: Know) -> None:
    job = weighing([300.0])
    item = weigh_in.next_item(without_hose(job), know)
    assert isinstance(item, AskQuestion)
    assert item.key == "long-hose"


def test_what_the_hose_holds_is_enough_to_be_done(know: Know) -> None:
    item = weigh_in.next_item(weighing([300.0, 214.0]), know)
    assert isinstance(item, AskQuestion)
    assert item.key == "cylinder-valve-shut"


ENDINGS: list[tuple[list[float], dict[str, Any], str]] = [
    # weights, answers -> what ends it
    ([300.0, 300.0], {"unit-running": "no"}, "weigh-in-short"),
    ([300.0, 300.0], {"unit-running": "unknown"}, "weigh-in-short"),
    (
        [300.0, 212.0],
        {"cylinder-valve-shut": "yes", "unit-running": "no"},
        "weighed-in-unproven",
    ),
    ([300.0], {"factory-charge": "unknown"}, "no-weight"),
    ([300.0, 209.0], {}, "over-weight"),
]


@pytest.mark.parametrize(("weights", "answers", "outcome"), ENDINGS)
def test_how_it_ends_without_proof(
    know: Know, weights: list[float], answers: dict[str, Any], outcome: str
) -> None:
    item = weigh_in.next_item(weighing(weights, answers=answers), know)
    assert item == EndCharging(outcome=outcome)


@pytest.mark.parametrize(
    ("verdict", "outcome"),
    [("done", "weighed-in"), ("unverified", "weighed-in-unproven")],
)
def test_how_it_ends_after_its_round(know: Know, verdict: str, outcome: str) -> None:
    last = judged(0, verdict, purpose="final")
    item = weigh_in.next_item(weighing([300.0, 212.0], rounds=(last,)), know)
    assert item == EndCharging(outcome=outcome)


def test_there_is_an_end_to_openings(know: Know) -> None:
    weights = [300.0 - 2.5 * number for number in range(MOST_OPENINGS + 1)]
    item = weigh_in.next_item(weighing(weights), know)
    assert item == EndCharging(outcome="too-many-openings")


@pytest.mark.parametrize("last", [213.0, 212.0, 210.0])
def test_near_enough_the_rest_is_shut_run_and_read(know: Know, last: float) -> None:
    """Within an ounce it counts as in, and up to two more is not called too much."""
    answers: dict[str, Any] = {}
    asked = []
    fields: dict[str, Any] = {}
    while True:
        job = weighing([300.0, last], answers=answers, **fields)
        item = weigh_in.next_item(job, know)
        match item:
            case AskQuestion():
                asked.append(item.key)
                answers[item.key] = {
                    "suction-pressure@0": PSI(120),
                    "liquid-pressure@0": PSI(330),
                }.get(item.key, F(80) if "temperature" in item.key else "yes")
            case StartWait():
                assert item.purpose == "final"
                assert item.seconds == 900.0
                fields["final_settled"] = True
            case _:
                break
    assert item == JudgeRound(purpose="final")
    assert asked == [
        "cylinder-valve-shut",
        "unit-running",
        "outdoor-temperature",
        *(f"{key}@0" for key in READINGS),
    ]


def test_stalled_the_unit_is_started_settled_and_its_suction_read(know: Know) -> None:
    """Less than two ounces in a whole opening: the pressures have met."""
    weights = [300.0, 240.0, 239.0]
    item = weigh_in.next_item(weighing(weights), know)
    assert isinstance(item, AskQuestion)
    assert item.key == "unit-running"
    running: dict[str, Any] = {"unit-running": "yes"}
    item = weigh_in.next_item(weighing(weights, answers=running), know)
    assert item == StartWait(purpose="settle", seconds=150.0)
    job = weighing(weights, answers=running, settled=True)
    item = weigh_in.next_item(job, know)
    assert isinstance(item, AskQuestion)
    assert item.key == "suction-pressure#3"
    running["suction-pressure#3"] = PSI(110)
    job = weighing(weights, answers=running, settled=True)
    item = weigh_in.next_item(job, know)
    assert isinstance(item, AskReady)
    plan = item.plan
    assert (plan.opening, plan.planned_s, plan.limit_s) == (3, 6.0, 15.0)
    assert plan.base is not None
    assert plan.base.quantity == PSI(110)
    assert plan.ceiling is not None
    assert 0 < plan.ceiling.quantity.psi - 110 < 10.001
    assert plan.stop_weight is not None
    assert Mass(plan.stop_weight.si).oz == pytest.approx(214)  # and the hose


SIZES = [
    # last running opening [s], weights before and after [oz] -> planned [s]
    (6.0, 240.0, 236.0, 12.0),  # 4 oz in 6 s, 24 oz left: twice the last
    (10.0, 232.0, 222.0, 6.0),  # an ounce a second, 10 left: 60 % of it
    (10.0, 224.0, 214.0, SHORTEST_S),
    (6.0, 236.0, 236.0, 9.0),  # nothing: half as long again
    (12.0, 236.0, 232.0, 14.0),  # never past the limit less the word
]


@pytest.mark.parametrize(("open_s", "before", "after", "planned"), SIZES)
def test_a_running_opening_is_sized_by_weight(
    know: Know, open_s: float, before: float, after: float, planned: float
) -> None:
    answers = {"unit-running": "yes", "suction-pressure#3": PSI(110)}
    pulses = (pulse(1, 60, base=None, peak=None), pulse(2, open_s))
    job = weighing([300.0, before, after], answers=answers, pulses=pulses, settled=True)
    item = weigh_in.next_item(without_hose(job), know)
    assert isinstance(item, AskReady)
    assert item.plan.planned_s == pytest.approx(planned)


@pytest.mark.parametrize("weights", [[300.0, 212.0], [300.0, 240.0, 239.0]])
def test_before_the_unit_is_started_the_low_side_is_joined(
    know: Know, weights: list[float]
) -> None:
    job = weighing(weights, answers={"cylinder-valve-shut": "yes"})
    answers = {k: v for k, v in job.answers.items() if k != "low-side-hose"}
    job = job_of(answers, method=job.method, pulses=job.pulses)
    item = weigh_in.next_item(job, know)
    assert isinstance(item, AskQuestion)
    assert item.key == "low-side-hose"

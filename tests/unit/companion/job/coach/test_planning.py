from dataclasses import replace
from typing import Any

import pytest

from companion.job.coach.planning import (
    LEAST_S,
    NEAR_LONGER,
    PROBE_S,
    PROBE_VAPOR_S,
    SECOND_S,
    left,
    plan_opening,
)
from companion.job.know import Know
from companion.job.opening_plans import CLOSE_WORD_S
from companion.job.state import Job, Pulse
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import (
    OZ,
    PSI,
    job_of,
    judged,
    method,
    pulse,
)


def ready(name: str = "liquid-pulses", short: float = 4.0, **fields: Any) -> Job:
    """Make a job with so many openings done and this much subcooling missing [K]."""
    pulses: tuple[Pulse, ...] = fields.pop("pulses", ())
    rounds = tuple(
        judged(n, superheat=8.0, subcooling=5.0 - short - n * 0.0)
        for n in range(len(pulses) + 1)
    )
    answers: dict[str, str | Quantity] = {
        "unit-refrigerant": "R-410A",
        "factory-charge": OZ(110),
        **fields.pop("answers", {}),
    }
    for n in range(len(pulses) + 1):
        answers[f"suction-pressure@{n}"] = PSI(120)
    given = {"rounds": rounds, "judged": (len(pulses), 0), **fields}
    return job_of(answers, method=method(name), pulses=pulses, **given)


def test_the_first_opening_is_a_short_slow_turn(know: Know) -> None:
    plan = plan_opening(ready(), know)
    assert (plan.opening, plan.hint, plan.limit_s) == (1, "slow", 15.0)
    assert LEAST_S <= plan.planned_s <= PROBE_S
    assert plan.base is not None
    assert plan.ceiling is not None
    assert plan.hard is not None
    assert plan.base.si < plan.ceiling.si <= plan.hard.si


def test_vapor_may_flow_longer(know: Know) -> None:
    plan = plan_opening(ready("vapor"), know)
    assert PROBE_S < plan.planned_s <= PROBE_VAPOR_S
    assert plan.limit_s > 60


@pytest.mark.parametrize("short", [0.3, 0.6, 1.0])
def test_the_nearer_the_target_the_shorter(know: Know, short: float) -> None:
    near = plan_opening(ready(short=short), know)
    far = plan_opening(ready(short=short + 1.0), know)
    assert LEAST_S <= near.planned_s <= far.planned_s


def test_no_plan_reaches_its_limit(know: Know) -> None:
    weak = tuple(pulse(n + 1, 12.0, peak=122.0) for n in range(4))
    plan = plan_opening(ready(short=20.0, pulses=weak), know)
    assert plan.planned_s <= plan.limit_s - CLOSE_WORD_S


def test_the_second_opening_stays_short_too(know: Know) -> None:
    plan = plan_opening(ready(short=10.0, pulses=(pulse(1, 6.0),)), know)
    assert plan.planned_s <= SECOND_S


def test_near_the_target_an_opening_is_hardly_longer_than_the_last(know: Know) -> None:
    weak = (pulse(1, peak=124.0), pulse(2, 6.0, peak=122.0))
    plan = plan_opening(ready(short=1.0, pulses=weak), know)
    assert plan.planned_s <= NEAR_LONGER * 6.0


HINTS = [
    # how the last openings went -> what is said
    ((pulse(1, peak=120.0),), "more"),  # nothing rose
    ((pulse(1, peak=120.0), pulse(2, peak=120.0)), "slow"),  # after the look
    (tuple(pulse(n + 1, peak=120.0) for n in range(3)), "double"),
    ((pulse(1, peak=124.0), replace(pulse(2), reason="pressure")), "less"),
    ((pulse(1, peak=124.0), pulse(2, peak=129.5)), "less"),
]


@pytest.mark.parametrize(("pulses", "hint"), HINTS)
def test_the_hint_follows_the_last_opening(
    know: Know, pulses: tuple[Pulse, ...], hint: str
) -> None:
    assert plan_opening(ready(short=6.0, pulses=pulses), know).hint == hint


def test_without_a_reading_there_is_no_ceiling(know: Know) -> None:
    job = job_of({"unit-refrigerant": "R-410A"}, method=method(), rounds=(judged(0),))
    plan = plan_opening(job, know)
    assert (plan.base, plan.ceiling, plan.hard) == (None, None, None)


def test_with_a_scale_it_stops_at_what_the_superheat_can_evaporate(know: Know) -> None:
    scale = {"scale": "yes", "cylinder-weight#0": OZ(240)}
    plan = plan_opening(ready(answers=scale), know)
    assert plan.stop_weight is not None
    assert 0 < plan.stop_weight.si < OZ(240).kg
    assert plan_opening(ready(), know).stop_weight is None


def test_it_predicts_what_is_still_to_come(know: Know) -> None:
    near, far = left(ready(short=1.0), know), left(ready(short=6.0), know)
    assert near is not None
    assert far is not None
    assert 1 <= near.openings <= far.openings
    assert 0 < near.kg < far.kg
    assert (near.at_least, far.at_least) == (False, True)  # subcooling hides the rest
    assert left(job_of(method=method()), know) is None


def test_while_no_vapor_is_seen_to_come_openings_do_not_get_shorter(
    know: Know,
) -> None:
    dry = tuple(
        replace(pulse(n + 1, 25.0, peak=120.2), hint="double") for n in range(5)
    )
    plan = plan_opening(ready("vapor", pulses=dry), know)
    assert plan.planned_s >= PROBE_VAPOR_S

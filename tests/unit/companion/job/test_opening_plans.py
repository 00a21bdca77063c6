from typing import Any

import pytest

from companion.job.know import Know
from companion.job.opening_plans import (
    CLOSE_WORD_S,
    FIRST_LIQUID_S,
    FIRST_VAPOR_S,
    LIMIT_VAPOR_S,
    SHORTEST_S,
    SILENCE_LIQUID_S,
    SILENCE_VAPOR_S,
    ceiling,
    plan_opening,
)
from companion.job.state import Job
from companion.knowledge.properties import OutsideTable
from tests.unit.companion.job.conftest import PSI, job_of, judged, method, pulse


def ready(name: str = "liquid-pulses", **fields: Any) -> Job:
    answers = {"unit-refrigerant": "R-410A", "suction-pressure@0": PSI(120)}
    answers["suction-pressure@1"] = PSI(121)
    rounds = fields.pop("rounds", (judged(0, subcooling=1.0),))
    return job_of(answers, method=method(name), rounds=rounds, **fields)


def test_the_first_opening_of_liquid_is_short(know: Know) -> None:
    plan = plan_opening(ready(), know)
    assert (plan.opening, plan.planned_s, plan.limit_s) == (1, FIRST_LIQUID_S, 15.0)
    assert plan.silence_s == SILENCE_LIQUID_S
    assert plan.base is not None
    assert plan.base.quantity == PSI(120)
    assert plan.stop_weight is None


def test_vapor_may_flow_longer(know: Know) -> None:
    plan = plan_opening(ready("vapor"), know)
    assert (plan.planned_s, plan.limit_s) == (FIRST_VAPOR_S, LIMIT_VAPOR_S)
    assert plan.silence_s == SILENCE_VAPOR_S


LATER = [
    # short before and now [K], open [s] -> planned [s]
    (4.0, 2.0, 10.0, 6.0),  # 0.2 K/s: 60 % of 2 K
    (4.0, 3.6, 5.0, 10.0),  # 0.08 K/s would be 27 s: twice the last
    (4.0, 4.0, 6.0, 9.0),  # bought nothing: half as long again
    (4.0, 5.0, 6.0, 9.0),  # got worse: the same
    (4.0, 0.2, 10.0, SHORTEST_S),
    (4.0, 3.8, 12.0, 14.0),  # never past the limit less the word
    (4.0, 2.0, 0.5, SHORTEST_S),  # shut at once: read as the shortest
]


@pytest.mark.parametrize(("before", "now", "open_s", "planned"), LATER)
def test_later_openings_are_sized_by_what_the_last_bought(
    know: Know, before: float, now: float, open_s: float, planned: float
) -> None:
    rounds = (judged(0, subcooling=5 - before), judged(1, subcooling=5 - now))
    plan = plan_opening(ready(rounds=rounds, pulses=(pulse(1, open_s),)), know)
    assert plan.opening == 2
    assert plan.planned_s == pytest.approx(planned)
    assert plan.planned_s <= plan.limit_s - CLOSE_WORD_S


def test_without_a_target_an_opening_is_as_long_as_the_last(know: Know) -> None:
    rounds = (judged(0, target=None), judged(1, target=None))
    plan = plan_opening(ready(rounds=rounds, pulses=(pulse(1, 7.0),)), know)
    assert plan.planned_s == 7.0


@pytest.mark.parametrize(
    ("refrigerant", "base", "rise"),
    [("R-410A", 120.0, 10.0), ("R-134a", 35.0, 6.0), ("R-22", 62.0, 8.0)],
)
def test_the_rise_is_capped_in_psi_and_in_degrees(
    know: Know, refrigerant: str, base: float, rise: float
) -> None:
    """The same psi is more degrees on a refrigerant of low pressure."""
    job = job_of({"unit-refrigerant": refrigerant})
    top = ceiling(job, know, PSI(base))
    assert top.psi - base == pytest.approx(rise, abs=0.6)
    assert top.psi - base <= know.knowledge.limits.pulse_rise_soft.psi + 1e-9
    found = know.knowledge.catalogue.get(refrigerant)
    ends = [
        know.knowledge.properties.saturation_temperature(
            found, "dew", pressure.absolute(job.ambient.quantity)
        )
        for pressure in (PSI(base), top)
    ]
    assert not any(isinstance(end, OutsideTable) for end in ends)
    cap = know.knowledge.limits.pulse_saturation_rise.k
    assert ends[1].k - ends[0].k <= cap + 0.05


@pytest.mark.parametrize("answers", [{}, {"unit-refrigerant": "R-410A"}])
def test_outside_the_tables_the_limit_in_psi_holds(
    know: Know, answers: dict[str, str]
) -> None:
    top = ceiling(job_of(answers), know, PSI(695))
    assert top.psi == pytest.approx(705)


def test_without_a_reading_there_is_no_ceiling(know: Know) -> None:
    job = job_of({"unit-refrigerant": "R-410A"}, method=method(), rounds=(judged(0),))
    plan = plan_opening(job, know)
    assert (plan.base, plan.ceiling) == (None, None)

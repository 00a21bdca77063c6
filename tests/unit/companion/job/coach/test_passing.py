from typing import Any

import pytest

from companion.job.coach.passing import fills_on, moved_k, much_left, weight_fell
from companion.job.know import Know
from companion.job.state import Job
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import DF, OZ, PSI, job_of, judged, method, pulse


def looked_at(subcooling: float, superheat: float = 12.0, **answers: Quantity) -> Job:
    """Make a job with an opening and one look after it [F]; it had 4 and 14 before."""
    target = DF(10).k
    rounds = (
        judged(0, subcooling=DF(4).k, superheat=DF(14).k, target=target),
        judged(
            1, subcooling=DF(subcooling).k, superheat=DF(superheat).k, target=target
        ),
    )
    given: dict[str, Any] = {"factory-charge": OZ(110), **answers}
    return job_of(given, method=method(), rounds=rounds, pulses=(pulse(1),))


FILLING = [
    # subcooling at the look before and now [F] -> fills on
    (9.0, 14.0, True),
    (9.0, 10.0, False),  # less than a reading's error
    (6.0, 8.5, False),  # a slow unit
    (4.0, 7.5, True),
    (9.0, 6.0, False),  # the other way
]


@pytest.mark.parametrize(("before", "now", "expected"), FILLING)
def test_a_unit_that_goes_on_as_it_came_fills_on(
    before: float,
    now: float,
    expected: bool,
) -> None:
    job, missing = looked_at(before), DF(10.0 - now).k
    assert moved_k(job, missing) == pytest.approx(DF(now - before).k)
    assert fills_on(job, missing, DF(12).k) is expected


STARVED = [
    # suction at the looks [psig], subcooling before [F], superheat now -> fills on
    (70.0, 73.0, 0.0, 12.0, True),
    (70.0, 70.0, 0.0, 12.0, False),  # one odd clamp
    (70.0, 73.0, 4.0, 12.0, False),  # its subcooling would show it
    (70.0, 73.0, 0.0, 17.0, False),
]


@pytest.mark.parametrize(("was", "now", "cool", "heat", "expected"), STARVED)
def test_a_starved_valve_unit_shows_it_by_superheat_and_suction(
    was: float,
    now: float,
    cool: float,
    heat: float,
    expected: bool,
) -> None:
    target = DF(10).k
    rounds = (
        judged(0, subcooling=DF(cool).k, superheat=DF(26).k, target=target),
        judged(1, subcooling=DF(cool).k, superheat=DF(20).k, target=target),
    )
    answers: dict[str, Any] = {
        "suction-pressure@1": PSI(was),
        "suction-pressure@2": PSI(now),
    }
    job = job_of(answers, method=method(), rounds=rounds, pulses=(pulse(1),))
    assert fills_on(job, DF(10 - cool).k, DF(heat).k) is expected


WEIGHTS = [(338.0, True), (339.0, False), (340.0, False), (None, False)]


@pytest.mark.parametrize(("again", "expected"), WEIGHTS)
def test_a_cylinder_that_loses_weight_with_the_valve_shut_feeds_on(
    again: float | None,
    expected: bool,
) -> None:
    answers: dict[str, Any] = {"cylinder-weight#1": OZ(340)}
    if again is not None:
        answers["cylinder-weight#1b"] = OZ(again)
    assert weight_fell(looked_at(9.0, **answers)) is expected


@pytest.mark.parametrize(("after", "expected"), [(347.0, False), (320.0, True)])
def test_more_than_an_opening_explains_is_weighed_again(
    know: Know,
    after: float,
    expected: bool,
) -> None:
    weights: dict[str, Any] = {
        "cylinder-weight#0": OZ(350),
        "cylinder-weight#1": OZ(after),
    }
    job = looked_at(9.0, **weights)
    assert much_left(job, know) is expected

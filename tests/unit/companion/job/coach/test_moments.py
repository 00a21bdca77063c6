import pytest

from companion.job.coach import moments
from companion.job.questions import READINGS
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import PSI, F, job_of, judged, method, pulse

VALUES: dict[str, Quantity] = {
    "suction-pressure": PSI(120),
    "suction-line-temperature": F(60),
    "liquid-pressure": PSI(340),
    "liquid-line-temperature": F(95),
}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ((120,), 120),
        ((120, 122), 121),
        ((120, 20, 121), 120.5),
        ((20, 120, 121), 120.5),
        ((110, 120, 130), 120),
    ],
)
def test_what_a_reading_counts_as(asked: tuple[float, ...], expected: float) -> None:
    keys = [f"suction-pressure@2{mark}" for mark in moments.AGAIN]
    job = job_of({key: PSI(value) for key, value in zip(keys, asked, strict=False)})
    found = moments.suction(job, 2)
    assert found is not None
    assert found.psi == pytest.approx(expected)


def test_not_read_is_not_there() -> None:
    assert moments.suction(job_of(), 0) is None
    assert moments.line(job_of(), "liquid-line-temperature", 0) is None


def test_a_third_asking_comes_only_where_two_disagree() -> None:
    answers: dict[str, str | Quantity] = {f"{k}@0": v for k, v in VALUES.items()}
    answers |= {f"{k}@0b": v for k, v in VALUES.items()}
    job = job_of(answers, method=method())
    assert moments.due(job, READINGS, "baseline", frozenset()) is None
    job = job_of({**answers, "liquid-pressure@0b": PSI(240)}, method=method())
    found = moments.due(job, READINGS, "baseline", frozenset())
    assert found == "liquid-pressure@0c"


def test_a_reading_that_jumped_is_odd() -> None:
    answers: dict[str, str | Quantity] = {f"{k}@0": v for k, v in VALUES.items()}
    now = {**VALUES, "suction-line-temperature": F(80)}
    answers |= {f"{k}@1": v for k, v in now.items()}
    job = job_of(answers, method=method(), rounds=(judged(0),))
    assert moments.stepped(job, READINGS) == {"suction-line-temperature"}


def test_rounds_of_one_moment_that_agree_are_averaged() -> None:
    rounds = (judged(0, subcooling=1.0), judged(1, subcooling=2.0))
    rounds = (*rounds, judged(1, subcooling=2.4))
    job = job_of(method=method(), rounds=rounds, pulses=(pulse(1),))
    found = moments.moments(job)
    assert found[0].short_k == pytest.approx(4.0)
    assert found[1].short_k == pytest.approx(2.8)
    assert (found[0].flat, found[1].flat) == (False, False)
    assert moments.agreed(job, 2.7) == pytest.approx((3.0 + 2.6 + 2.7) / 3)


def test_a_valve_hides_what_is_missing_and_an_orifice_does_not() -> None:
    flat = (judged(0, superheat=9.0, subcooling=0.1),)
    for stop_by, hidden in (("subcooling", True), ("superheat", False)):
        job = job_of(method=method(stop_by=stop_by), rounds=flat)
        assert moments.moments(job)[0].flat is hidden

import pytest

from companion.job.charge_errors import round_short_by, short_by
from tests.unit.companion.job.conftest import job_of, judged, method

TABLE = [
    # what stops, superheat, subcooling, target -> how far short
    ("superheat", 12.0, 2.0, 7.0, 5.0),
    ("superheat", 5.0, 2.0, 7.0, -2.0),
    ("subcooling", 12.0, 2.0, 5.0, 3.0),
    ("subcooling", None, 7.0, 5.0, -2.0),
    ("superheat", None, 2.0, 7.0, None),
    ("subcooling", 12.0, None, 5.0, None),
    ("subcooling", 12.0, 2.0, None, None),
]


@pytest.mark.parametrize(("stop_by", "sh", "sc", "target", "short"), TABLE)
def test_above_zero_is_short_of_charge(
    stop_by: str,
    sh: float | None,
    sc: float | None,
    target: float | None,
    short: float | None,
) -> None:
    reading = judged(superheat=sh, subcooling=sc, target=target)
    job = job_of(method=method(stop_by=stop_by), rounds=(reading,))
    assert short_by(job) == short


def test_each_round_can_be_asked_for() -> None:
    rounds = (judged(0, subcooling=1.0), judged(1, subcooling=4.0))
    job = job_of(method=method(), rounds=rounds)
    found = [round_short_by(job, index) for index in (-1, 0, 1, 2)]
    assert found == [None, 4.0, 1.0, None]


def test_without_a_method_or_a_round_nothing_is_known() -> None:
    assert short_by(job_of(rounds=(judged(subcooling=1.0),))) is None
    assert short_by(job_of(method=method())) is None

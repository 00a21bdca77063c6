import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.criteria import (
    judge_split,
    judge_subcooling,
    judge_superheat,
    valve_works,
)
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import TemperatureDifference

DF = TemperatureDifference.from_f
DEGREES = st.floats(0, 40)


@given(DEGREES, DEGREES)
def test_superheat_and_subcooling_pull_opposite_ways(
    knowledge: Knowledge, actual: float, target: float
) -> None:
    opposite = {"pass": "pass", "add": "remove", "remove": "add"}
    heat = judge_superheat(DF(actual), DF(target), knowledge.limits)
    back = judge_superheat(DF(target), DF(actual), knowledge.limits)
    assert back == opposite[heat]
    cool = judge_subcooling(DF(actual), DF(target), knowledge.limits)
    if heat != "pass":
        assert cool == opposite[heat]


@given(DEGREES, DEGREES)
def test_a_rater_passes_whatever_an_installer_passes(
    knowledge: Knowledge, actual: float, target: float
) -> None:
    for judge in (judge_superheat, judge_subcooling):
        if judge(DF(actual), DF(target), knowledge.limits) == "pass":
            assert judge(DF(actual), DF(target), knowledge.limits, "rater") == "pass"
    if valve_works(DF(actual), knowledge.limits):
        assert valve_works(DF(actual), knowledge.limits, "rater")


@pytest.mark.parametrize(
    ("off", "verdict"), [(3, "pass"), (-3, "pass"), (4, "low-airflow")]
)
def test_split(knowledge: Knowledge, off: float, verdict: str) -> None:
    assert judge_split(DF(18 + off), DF(18), knowledge.limits) == verdict

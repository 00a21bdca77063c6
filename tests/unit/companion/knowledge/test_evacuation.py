import pytest

from companion.knowledge.evacuation import evacuation_steps, judge_decay
from companion.knowledge.limits import Seconds
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import AbsolutePressure

MICRON = AbsolutePressure.from_micron


@pytest.mark.parametrize(
    ("pulled", "after", "minutes", "rising", "verdict"),
    [
        (400, 480, 20, None, "pass"),
        (500, 500, 20, False, "pass"),
        (250, 500, 25, True, "pass"),
        (400, 480, 19, None, "wait"),
        (502, 480, 20, None, "pump-on"),
        (500.4, 500.4, 20, None, "pass"),  # a gauge shows three digits
        (400, 502, 20, None, "moisture-or-leak"),
        (400, 900, 10, False, "moisture"),
        (400, 1500, 20, False, "moisture"),
        (400, 900, 10, True, "leak"),
        (400, 2005, 5, None, "leak"),
        (400, 2500, 20, False, "leak"),
    ],
)
def test_a_vacuum_left_alone(
    knowledge: Knowledge,
    pulled: float,
    after: float,
    minutes: float,
    rising: bool | None,
    verdict: str,
) -> None:
    found = judge_decay(
        MICRON(pulled),
        MICRON(after),
        Seconds(s=60 * minutes),
        knowledge.limits,
        rising=rising,
    )
    assert found.verdict == verdict
    assert found.passed == (found.verdict == "pass")
    assert found.reason


def test_the_steps_are_timed_and_sourced(knowledge: Knowledge) -> None:
    steps = evacuation_steps(knowledge.limits)
    assert [step.id for step in steps] == ["off", "pump", "shut-off", "hold", "charge"]
    waits = {step.id: step.wait.s for step in steps if step.wait is not None}
    assert waits == {"hold": 1200}
    assert all(step.citation.source in knowledge.sources for step in steps)
    for step in steps:
        assert step.until is None or step.until == knowledge.limits.vacuum_target

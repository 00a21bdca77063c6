from typing import Any

import pytest

from companion.job.facts import OptionAnswer
from companion.job.judging import Doubt, Refuse, judge_answer
from companion.job.know import Know
from companion.knowledge.quantities import Quantity
from tests.unit.companion.job.conftest import DF, OZ, PSI, F, answer_of, job_of, pulse

RUNNING: dict[str, Any] = {
    "unit-refrigerant": "R-410A",
    "unit-state": "cooling",
    "metering": "thermostatic",
    "outdoor-temperature": F(92),
}
ROUND = {
    **RUNNING,
    "suction-pressure@0": PSI(120),
    "suction-line-temperature@0": F(60),
    "liquid-pressure@0": PSI(330),
}
WEIGHED = {"cylinder-weight#0": OZ(300)}
TABLE = [
    # what is known, key, value -> kind of judgement
    (RUNNING, "suction-pressure@0", PSI(120), None),
    (RUNNING, "suction-pressure@0", PSI(330), Doubt),
    (ROUND, "liquid-pressure@0", PSI(100), Refuse),
    (ROUND, "liquid-pressure@0", PSI(335), None),
    (ROUND, "liquid-line-temperature@0", F(98), None),
    (ROUND, "suction-line-temperature@0", F(120), Doubt),
    ({**RUNNING, "return-dry-bulb": F(78)}, "return-wet-bulb", F(65), None),
    ({**RUNNING, "return-dry-bulb": F(78)}, "return-wet-bulb", F(85), Refuse),
    (WEIGHED, "cylinder-weight#end", OZ(290), None),
    (RUNNING, "charge-adder", OZ(9), None),
    (RUNNING, "target-subcooling", DF(10), None),
    ({}, "unit-refrigerant", "R-410A", None),
    ({}, "unit-refrigerant", "R-744", Refuse),
    ({}, "unit-refrigerant", "R-9999", Refuse),
    (RUNNING, "cylinder-refrigerant", "R-410A", None),
    (RUNNING, "cylinder-refrigerant", "R-32", Refuse),
    ({}, "cylinder-refrigerant", "R-32", None),
]


@pytest.mark.parametrize(("known", "key", "value", "kind"), TABLE)
def test_how_an_answer_is_judged(
    know: Know,
    known: dict[str, str | Quantity],
    key: str,
    value: str | Quantity,
    kind: type | None,
) -> None:
    verdict = judge_answer(job_of(known), know, key, answer_of(value))
    assert (verdict is None) if kind is None else isinstance(verdict, kind)


def test_an_option_is_never_judged(know: Know) -> None:
    answer = OptionAnswer(option="unknown")
    assert judge_answer(job_of(), know, "scale", answer) is None


def test_the_wrong_cylinder_is_named_with_the_unit(know: Know) -> None:
    verdict = judge_answer(
        job_of(RUNNING), know, "cylinder-refrigerant", answer_of("R-22")
    )
    assert isinstance(verdict, Refuse)
    assert (verdict.cue, verdict.reason) == ("mismatch", "mismatch")
    assert dict(verdict.values) == {"cylinder": "R-22", "unit": "R-410A"}


@pytest.mark.parametrize(
    ("known", "key", "value"),
    [
        ({**ROUND}, "suction-pressure@1", PSI(170)),
        (WEIGHED, "cylinder-weight#1", OZ(340)),
        (WEIGHED, "cylinder-weight#end", OZ(340)),
    ],
)
def test_a_value_is_compared_with_the_one_before(
    know: Know, known: dict[str, str | Quantity], key: str, value: Quantity
) -> None:
    alone = {
        k: v
        for k, v in known.items()
        if not k.startswith(key.split("@")[0].split("#")[0])
    }
    job = job_of(known, pulses=(pulse(1),))
    without = judge_answer(job_of(alone), know, key, answer_of(value))
    verdict = judge_answer(job, know, key, answer_of(value))
    assert verdict != without
    assert isinstance(verdict, Doubt | Refuse)

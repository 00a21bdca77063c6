import pytest

from companion.job.know import Know
from companion.job.opening_plans import ceiling, hard_ceiling
from companion.knowledge.properties import OutsideTable
from tests.unit.companion.job.conftest import PSI, job_of


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


@pytest.mark.parametrize(
    ("refrigerant", "base", "rise"),
    [("R-410A", 120.0, 14.5), ("R-134a", 35.0, 6.5), ("R-22", 62.0, 8.8)],
)
def test_the_hard_limit_is_15_psi_or_6_f_but_never_under_what_was_said(
    know: Know, refrigerant: str, base: float, rise: float
) -> None:
    job = job_of({"unit-refrigerant": refrigerant})
    hard = hard_ceiling(job, know, PSI(base))
    assert hard >= ceiling(job, know, PSI(base))
    assert hard.psi - base == pytest.approx(rise, abs=0.6)
    assert hard.psi - base <= know.knowledge.limits.pulse_rise_hard.pa / 6894.757 + 1e-6

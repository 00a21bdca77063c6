from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import (
    OutsideTable,
    ReadingErrors,
    Subcooling,
    Superheat,
    subcooling,
    superheat,
)
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    Length,
    PressureDifference,
    Temperature,
    TemperatureDifference,
    standard_atmosphere,
)

Find = Callable[[str], Refrigerant]
SEA = standard_atmosphere(Length(0))
PSIG = GaugePressure.from_psi
F = Temperature.from_f


def _superheat(
    knowledge: Knowledge,
    found: Refrigerant,
    psig: float,
    line_f: float,
    air: AbsolutePressure = SEA,
    errors: ReadingErrors | None = None,
) -> Superheat:
    made = superheat(
        knowledge.properties,
        found,
        PSIG(psig),
        F(line_f),
        air,
        errors or knowledge.limits.reading_errors,
    )
    assert isinstance(made, Superheat)
    return made


def test_superheat_uses_dew_and_subcooling_bubble(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found, errors = refrigerant("R-407C"), knowledge.limits.reading_errors
    heat = superheat(knowledge.properties, found, PSIG(68), F(55), SEA, errors)
    cool = subcooling(knowledge.properties, found, PSIG(68), F(20), SEA, errors)
    assert isinstance(heat, Superheat)
    assert isinstance(cool, Subcooling)
    assert heat.saturation.f == pytest.approx(43.2, abs=0.1)
    assert cool.saturation.f == pytest.approx(32.2, abs=0.1)
    assert heat.value.f == pytest.approx(55 - heat.saturation.f)
    assert cool.value.f == pytest.approx(cool.saturation.f - 20)


def test_air_pressure_counts(knowledge: Knowledge, refrigerant: Find) -> None:
    """At 5000 ft a sea-level chart reads 2.6 F short on R-134a at 35 psig."""
    mountain = standard_atmosphere(Length.from_ft(5000))
    found = refrigerant("R-134a")
    low = _superheat(knowledge, found, 35, 50)
    high = _superheat(knowledge, found, 35, 50, mountain)
    assert low.value.f == pytest.approx(10.1, abs=0.1)
    assert high.value.f == pytest.approx(12.7, abs=0.1)


def test_the_error_band_is_the_sum_of_independent_errors(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found = refrigerant("R-410A")

    def band(psi: float, df: float) -> float:
        errors = ReadingErrors(
            suction=PressureDifference.from_psi(psi),
            liquid=PressureDifference(0),
            line=TemperatureDifference.from_f(df),
        )
        return _superheat(knowledge, found, 118, 50, errors=errors).uncertainty.k

    table = found.saturation_error.k
    assert band(0, 0) == pytest.approx(table)
    assert band(0, 1) == pytest.approx(((1 / 1.8) ** 2 + table**2) ** 0.5)
    gauge = (band(3.5, 0) ** 2 - table**2) ** 0.5
    assert gauge * 1.8 == pytest.approx(3.5 / 2.28, rel=0.03)  # 2.28 psi a degree F
    assert band(3.5, 1) ** 2 == pytest.approx(gauge**2 + band(0, 1) ** 2)


def test_outside_the_table_there_is_no_superheat(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    errors = knowledge.limits.reading_errors
    for psig in (-20.0, 0.0, 800.0):
        found = superheat(
            knowledge.properties, refrigerant("R-410A"), PSIG(psig), F(50), SEA, errors
        )
        assert isinstance(found, OutsideTable)
        assert "check the reading" in found.reason
        cool = subcooling(
            knowledge.properties, refrigerant("R-410A"), PSIG(psig), F(50), SEA, errors
        )
        assert isinstance(cool, OutsideTable)


def test_an_error_that_reaches_past_the_table_is_taken_from_the_other_side(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found = refrigerant("R-410A")
    lowest = knowledge.properties.saturation_pressure(
        found, "dew", Temperature.from_c(-45)
    )
    assert isinstance(lowest, AbsolutePressure)
    made = _superheat(knowledge, found, lowest.gauge(SEA).psi + 0.1, 0)
    assert made.uncertainty.f > 2


@given(st.floats(40, 160), st.floats(0, 100), st.floats(0.1, 20))
def test_a_warmer_line_is_as_much_more_superheat(
    knowledge: Knowledge, refrigerant: Find, psig: float, line_f: float, more: float
) -> None:
    found = refrigerant("R-410A")
    cold = _superheat(knowledge, found, psig, line_f)
    warm = _superheat(knowledge, found, psig, line_f + more)
    assert (warm.value.f - cold.value.f) == pytest.approx(more, abs=1e-6)
    assert warm.uncertainty == cold.uncertainty

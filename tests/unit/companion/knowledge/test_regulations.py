from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.loading import Knowledge, load_knowledge
from companion.knowledge.quantities import Mass, Temperature
from companion.knowledge.regulations import (
    Use,
    chronic_leak,
    gwp_by_mass,
    heat_level,
    leak_check_months,
    leak_rate_annualized,
    leak_rate_covered,
    leak_rate_over,
    leak_rate_rolling,
    recheck_window,
    retest_due,
)
from companion.knowledge.tables import TableError

LB = Mass.from_lb


@pytest.mark.parametrize(
    ("tonnes", "detection", "hermetic", "months"),
    [
        (4.99, False, False, None),
        (5.0, False, False, 12),
        (5.0, True, False, 24),
        (49.9, False, False, 12),
        (50.0, False, False, 6),
        (500.0, False, False, 3),
        (500.0, True, False, 6),
        (9.9, False, True, None),
        (10.0, False, True, 12),
    ],
)
def test_leak_checks(
    knowledge: Knowledge,
    tonnes: float,
    detection: bool,
    hermetic: bool,
    months: int | None,
) -> None:
    found = leak_check_months(
        knowledge.regulations, tonnes, detection=detection, hermetic=hermetic
    )
    assert found == months


@pytest.mark.parametrize(
    ("rate", "use", "over"),
    [
        (10.0, "comfort-cooling", False),
        (10.01, "comfort-cooling", True),
        (20.0, "commercial-refrigeration", False),
        (30.5, "industrial-process", True),
    ],
)
def test_triggers(knowledge: Knowledge, rate: float, use: Use, over: bool) -> None:
    assert leak_rate_over(knowledge.regulations, rate, use) is over


@given(added=st.floats(0, 50), full=st.floats(1, 500), days=st.integers(1, 2000))
def test_a_rate_never_counts_more_than_a_year(
    added: float, full: float, days: int
) -> None:
    rate = leak_rate_annualized(LB(added), LB(full), days)
    whole = leak_rate_rolling([LB(added)], LB(full))
    assert rate >= whole - 1e-9
    if days >= 365:
        assert rate == pytest.approx(whole)


@pytest.mark.parametrize(("full", "days"), [(0.0, 10), (10.0, 0)])
def test_a_rate_of_nothing_is_refused(full: float, days: int) -> None:
    with pytest.raises(ValueError, match="above zero"):
        leak_rate_annualized(LB(1), LB(full), days)


@pytest.mark.parametrize(
    ("ozone", "gwp", "full", "equipment", "covered"),
    [
        (True, 1810, 50, "chiller", True),
        (True, 1810, 49.9, "chiller", False),
        (False, 2088, 15, "chiller", True),
        (False, 2088, 14.9, "chiller", False),
        (False, 2088, 40, "light-commercial", False),
        (False, 53, 400, "chiller", False),
    ],
)
def test_which_appliances_the_rule_reaches(
    knowledge: Knowledge,
    ozone: bool,
    gwp: float,
    full: float,
    equipment: str,
    covered: bool,
) -> None:
    found = leak_rate_covered(
        knowledge.regulations,
        ozone=ozone,
        gwp=gwp,
        full=LB(full),
        equipment=equipment,  # type: ignore[arg-type]
    )
    assert found is covered


def test_a_chronic_leak(knowledge: Knowledge) -> None:
    assert chronic_leak(knowledge.regulations, LB(100), LB(80))
    assert not chronic_leak(knowledge.regulations, LB(99.9), LB(80))


def test_a_component_without_a_potential(knowledge: Knowledge) -> None:
    assert gwp_by_mass(knowledge.regulations, {"R-290": 100.0}) is None


@pytest.mark.parametrize(
    ("f", "level"),
    [
        (90.9, "lower"),
        (91, "moderate"),
        (103, "moderate"),
        (103.1, "high"),
        (115, "high"),
        (115.1, "very-high"),
    ],
)
def test_heat(knowledge: Knowledge, f: float, level: str) -> None:
    assert heat_level(knowledge.regulations, Temperature.from_f(f)) == level


def test_dates(knowledge: Knowledge) -> None:
    assert retest_due(2021, 3, 5) == (2026, 3)
    with pytest.raises(ValueError, match="month"):
        retest_due(2021, 13, 5)
    for repaired, last in (
        (datetime(2026, 1, 31, 8), date(2026, 2, 28)),  # noqa: DTZ001 - local wall time
        (datetime(2026, 12, 15, 8), date(2027, 1, 15)),  # noqa: DTZ001 - local wall time
    ):
        first, found = recheck_window(knowledge.regulations, repaired)
        assert (first - repaired).total_seconds() == 24 * 3600
        assert found == last


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("from_t = [5.0, 50.0, 500.0]", "from_t = [50.0, 5.0, 500.0]", "leak_check"),
        ("bands_f = [91.0, 103.0, 115.0]", "bands_f = [91.0, 103.0]", "heat.bands_f"),
        ('source = "osha-heat-index"', 'source = "hearsay"', "heat.cite"),
        ("chronic_pct = 125.0", "", "leak_rate.chronic_pct"),
    ],
)
def test_a_spoiled_file_is_refused(
    texts: dict[str, str], old: str, new: str, key: str
) -> None:
    assert old in texts["regulations.toml"]
    texts["regulations.toml"] = texts["regulations.toml"].replace(old, new)
    with pytest.raises(TableError) as caught:
        load_knowledge(texts)
    assert [fault.key for fault in caught.value.faults] == [key]

from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.shell.rig.errors import OutOfTable, RigError
from companion.shell.rig.tables import (
    REFRIGERANTS,
    mean_two_phase_density,
    read_rows,
    table_of,
)

SHIPPED = files("companion.shell.rig").joinpath("data")


@pytest.mark.parametrize("designation", REFRIGERANTS)
def test_rows_are_complete_and_in_physical_order(designation: str) -> None:
    rows = read_rows(SHIPPED.joinpath(f"{designation}.txt").read_text("utf-8"))
    assert len(rows) == 260
    assert all(len(row) == 10 for row in rows)
    for column, rising in ((0, 1), (1, 1), (2, 1), (3, -1), (4, 1)):
        values = [rising * row[column] for row in rows]
        assert values == sorted(values)
    assert all(row[1] <= row[2] + 1e-6 and row[5] < row[6] for row in rows)


def test_the_tables_weigh_less_than_a_megabyte() -> None:
    texts = [SHIPPED.joinpath(f"{d}.txt").read_text("utf-8") for d in REFRIGERANTS]
    assert sum(map(len, texts)) < 1_000_000


@pytest.mark.parametrize("designation", REFRIGERANTS)
@given(share=st.floats(0.01, 0.99))
def test_every_way_in_gives_the_same_row(designation: str, share: float) -> None:
    table = table_of(designation)
    p_pa = table.lowest_pa * (table.highest_pa / table.lowest_pa) ** share
    row = table.at_p(p_pa)
    assert table.at_bubble(row.t_bub_k).p_pa == pytest.approx(p_pa, rel=2e-4)
    middle = (row.t_bub_k + row.t_dew_k) / 2
    assert table.at_middle(middle).p_pa == pytest.approx(p_pa, rel=2e-4)
    assert table.at_vapor_density(row.rho_v).p_pa == pytest.approx(p_pa, rel=2e-4)


@pytest.mark.parametrize("designation", REFRIGERANTS)
def test_nothing_is_extrapolated(designation: str) -> None:
    table = table_of(designation)
    for p_pa in (table.lowest_pa * 0.99, table.highest_pa * 1.01):
        with pytest.raises(OutOfTable, match=designation):
            table.at_p(p_pa)
    for t_k in (150.0, 345.0):
        with pytest.raises(OutOfTable, match=designation):
            table.at_bubble(t_k)
    with pytest.raises(OutOfTable, match="density"):
        table.at_vapor_density(0.01)


def test_an_unknown_refrigerant_is_refused_with_those_known() -> None:
    with pytest.raises(RigError, match=r"R-999.*R-407C"):
        table_of("R-999")


@given(ratio=st.floats(2.0, 500.0))
def test_the_mean_density_is_the_average_over_quality(ratio: float) -> None:
    rho_l, rho_v, steps = 1000.0, 1000.0 / ratio, 4000
    c = (rho_v / rho_l) ** (2 / 3)
    total = 0.0
    for i in range(steps):
        x = (i + 0.5) / steps
        void = x / (x + c * (1 - x))
        total += void * rho_v + (1 - void) * rho_l
    assert mean_two_phase_density(rho_l, rho_v) == pytest.approx(
        total / steps, rel=2e-3
    )

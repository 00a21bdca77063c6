import os

import pytest

from companion.shell.rig.build_tables import (
    BOTTOM_PA,
    WANTED,
    Wanted,
    check_rows,
    render,
    rows_of,
)
from companion.shell.rig.tables import REFRIGERANTS, read_rows, table_of

ROW = [1e5, 250.0, 251.0, 1200.0, 5.0, 1e5, 3e5, 800.0, 1.2, 1.1]


def _rows(*t_bub: float) -> list[list[float]]:
    return [[ROW[0], t, t + 1, *ROW[3:]] for t in t_bub]


def test_every_refrigerant_of_the_rig_is_made() -> None:
    assert tuple(wanted.designation for wanted in WANTED) == REFRIGERANTS


@pytest.mark.slow
def test_making_a_blend_again_gives_the_shipped_table(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COOLPROP_DISABLE_SUPERANCILLARIES_ENTIRELY", "1")
    coolprop = pytest.importorskip("CoolProp")
    wanted = next(w for w in WANTED if w.designation == "R-454B")
    made = read_rows(render(wanted, rows_of(coolprop, wanted), "any"))
    assert made[0][0] == pytest.approx(BOTTOM_PA)
    shipped = table_of("R-454B")
    for row in made[::20]:
        assert shipped.at_p(row[0])[1:10] == pytest.approx(row[1:], rel=1e-5)
    assert "COOLPROP_DISABLE_SUPERANCILLARIES_ENTIRELY" in os.environ


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (_rows(250, 251, 251.5), "temperature steps"),
        (_rows(250, 249, 248), "temperature steps"),
        ([[*ROW[:3], 4.0, 5.0, *ROW[5:]]], "phases out of order"),
        ([[1e5, 252.0, 251.0, *ROW[3:]]], "phases out of order"),
    ],
)
def test_a_stray_row_is_refused(rows: list[list[float]], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        check_rows("R-999", rows)


def test_a_smooth_run_of_rows_passes_and_reads_back() -> None:
    rows = _rows(250, 251, 252, 253)
    check_rows("R-999", rows)
    wanted = Wanted(designation="R-999", fluid="none", top_c=60.0)
    assert read_rows(render(wanted, rows, "0")) == rows

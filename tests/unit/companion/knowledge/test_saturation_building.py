import json
import math
from collections.abc import Callable

import pytest

from companion.knowledge.catalogue import Refrigerant, build_catalogue
from companion.knowledge.loading import Knowledge
from companion.knowledge.mixture_pairs import PairRemedy
from companion.knowledge.properties import Curve, OutsideTable
from companion.knowledge.quantities import Temperature
from companion.knowledge.saturation_building import (
    TableBuildError,
    build_saturation_table,
    walk_curve,
)

pytestmark = pytest.mark.slow
Find = Callable[[str], Refrigerant]


@pytest.mark.parametrize("name", ["R-32", "R-410A", "R-407C", "R-454B", "R-507A"])
def test_the_table_holds_its_error_between_nodes(
    knowledge: Knowledge, refrigerant: Find, name: str
) -> None:
    """0.002 % of pressure at every degree, also where the library's own calls fail."""
    found = refrigerant(name)
    curves: tuple[tuple[Curve, int], ...] = (("bubble", 0), ("dew", 1))
    for curve, quality in curves:
        walked = walk_curve(name, found.mass_pct, quality)
        assert not walked.at_critical
        reached = sorted(walked.pressures)
        assert reached == list(range(reached[0], reached[-1] + 1))
        assert reached[0] <= -60
        assert reached[-1] == 70
        for celsius in range(-60, 71):
            pa = walked.pressures[celsius]
            shipped = knowledge.properties.saturation_pressure(
                found, curve, Temperature.from_c(celsius)
            )
            assert not isinstance(shipped, OutsideTable)
            assert abs(shipped.pa / pa - 1) < 2e-5, (celsius, curve)


def test_a_curve_ends_at_its_critical_point(refrigerant: Find) -> None:
    # Critical temperature of R-125: 66.02 degC.
    walked = walk_curve("R-125", refrigerant("R-125").mass_pct, 0)
    assert walked.at_critical
    assert max(walked.pressures) == 66


def test_a_curve_reaches_its_normal_point(refrigerant: Find) -> None:
    walked = walk_curve("R-508B", refrigerant("R-508B").mass_pct, 1)
    assert min(walked.pressures) < -88
    assert max(walked.pressures) < 12  # no stray states beyond the critical point
    water = walk_curve("R-718", {"R-718": 100}, 0)
    assert min(water.pressures) == 1
    assert water.pressures[100] == pytest.approx(101418, rel=1e-3)


def test_a_blend_without_its_pair_is_refused_with_the_file_to_mend() -> None:
    # Water with R-32: no such pair, and no remedy for one.
    with pytest.raises(TableBuildError, match=r"R-X.*mixture_pairs\.toml"):
        walk_curve("R-X", {"R-32": 50, "R-718": 50}, 0)


def test_a_remedy_is_written_into_the_file(refrigerant: Find) -> None:
    catalogue = build_catalogue((refrigerant("R-409A"),), (), ())
    remedy = PairRemedy(one="R-22", other="R-124", gamma_t=0.9714)
    made = json.loads(build_saturation_table(catalogue, [remedy]))
    assert made["pairs"] == {"R-22 with R-124": "Lorentz-Berthelot, gammaT 0.9714"}
    row = made["tables"]["R-409A"]
    assert row["nodes_c"][0] == -60
    assert row["nodes_c"][-1] == 70
    # Bubble above dew, and about the published -35.4 C at 101.325 kPa.
    i = row["nodes_c"].index(-35)
    assert row["bubble_pa"][i] > row["dew_pa"][i]
    assert math.isclose(row["bubble_pa"][i], 101325, rel_tol=0.05)

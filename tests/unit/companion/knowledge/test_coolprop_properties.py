import subprocess
import sys
from collections.abc import Callable

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.coolprop_properties import CoolPropEquilibrium, apply_remedies
from companion.knowledge.equilibrium import EquilibriumError, mole_fractions
from companion.knowledge.mixture_pairs import read_pair_remedies
from companion.shell.knowledge_files import read_data_file

pytestmark = pytest.mark.slow
Find = Callable[[str], Refrigerant]


def test_the_import_says_nothing_on_standard_output() -> None:
    """What answers ``--json`` is one object, so not a word more may come out."""
    code = (
        "from companion.knowledge.coolprop_properties import library; library();"
        "import sys; assert 'CoolProp.CoolProp' in sys.modules; print('only this')"
    )
    done = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout == "only this\n"


def _equilibrium(found: Refrigerant) -> tuple[CoolPropEquilibrium, tuple[float, ...]]:
    made = CoolPropEquilibrium(found.designation, list(found.mass_pct))
    return made, mole_fractions(list(found.mass_pct.values()), made.molar_masses)


@pytest.mark.parametrize("celsius", [42, 43, 44, 45])
def test_states_are_found_where_the_library_alone_fails(
    refrigerant: Find, celsius: int
) -> None:
    equilibrium, make_up = _equilibrium(refrigerant("R-410A"))
    found = equilibrium.saturated(0, make_up, celsius + 273.15)
    below = equilibrium.saturated(0, make_up, celsius + 272.15)
    assert 1.02 < found.pressure_pa / below.pressure_pa < 1.03
    assert found.liquid == pytest.approx(make_up)
    assert found.vapor[0] > make_up[0]  # R-32 is the more volatile


def test_a_state_does_not_depend_on_the_way_to_it(refrigerant: Find) -> None:
    found = refrigerant("R-407C")
    fresh, make_up = _equilibrium(found)
    used, _ = _equilibrium(found)
    used.saturated(0, (0.1, 0.1, 0.8), 330.0)
    used.saturated(0, (0.8, 0.1, 0.1), 250.0)
    here = used.saturated(0, make_up, 298.15)
    there = fresh.saturated(0, make_up, 298.15)
    assert here.pressure_pa == pytest.approx(there.pressure_pa, rel=1e-9)
    assert here.vapor == pytest.approx(there.vapor, rel=1e-7)


def test_beyond_the_critical_point_there_is_none(refrigerant: Find) -> None:
    for name in ("R-454B", "R-125"):
        equilibrium, make_up = _equilibrium(refrigerant(name))
        with pytest.raises(EquilibriumError, match=f"{name}: no dew point at 90"):
            equilibrium.saturated(1, make_up, 363.15)


def test_gas_pressure_joins_the_dew_curve(refrigerant: Find) -> None:
    equilibrium, make_up = _equilibrium(refrigerant("R-407C"))
    dew = equilibrium.saturated(1, make_up, 298.15)
    pressure = equilibrium.gas_pressure(make_up, 298.15, dew.vapor_density)
    assert pressure == pytest.approx(dew.pressure_pa, rel=1e-6)
    thin = equilibrium.gas_pressure(make_up, 298.15, 1.0)
    assert thin == pytest.approx(8.314 * 298.15, rel=1e-3)


def test_remedies_come_from_the_shipped_file(refrigerant: Find) -> None:
    remedies = read_pair_remedies(read_data_file("mixture_pairs.toml"), _AnySource())
    assert isinstance(remedies, list)
    put_in = apply_remedies(remedies)
    assert "R-227ea with R-236fa" in put_in
    assert apply_remedies(remedies) == put_in  # a second time does no harm
    equilibrium, make_up = _equilibrium(refrigerant("R-458A"))
    found = equilibrium.saturated(0, make_up, 298.15)
    assert found.pressure_pa == pytest.approx(1028.7e3, rel=1e-3)


class _AnySource(dict):  # type: ignore[type-arg]
    def __contains__(self, key: object) -> bool:
        return True

from argparse import ArgumentParser

import pytest

from companion.shell.lookup_answer import LookupRefusal
from companion.shell.lookup_commands import add_lookups, look_up


def _ask(line: str) -> dict[str, object]:
    parser = ArgumentParser()
    add_lookups(parser.add_subparsers())
    return dict(look_up(parser.parse_args(line.split())).json)


def test_a_winter_temperature_is_a_value() -> None:
    found = _ask("saturation R-22 --temperature -10C")
    assert found["temperature_c"] == -10


def test_stated_air_stands_for_the_altitude() -> None:
    high = _ask("superheat R-22 --suction 68psig --line 55F --altitude 5000ft")
    stated = _ask("superheat R-22 --suction 68psig --line 55F --air 84.3kPa")
    assert stated["superheat_k"] == pytest.approx(high["superheat_k"], abs=0.01)


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("withdrawal R-407C --draw vapor --temperature 25C --fraction 50%", "leaving"),
        ("leak R-407C --lost 30% --as vapor --temperature 25C", "advice"),
        ("cylinder R-410A --volume 12L --net 5kg --temperature 25C", "liquid_kg"),
    ],
)
def test_the_sums_about_blends_are_commands(line: str, key: str) -> None:
    assert key in _ask(line)


def test_a_mass_below_zero_is_refused_not_misread() -> None:
    with pytest.raises(LookupRefusal, match="below zero"):
        _ask("cylinder R-410A --volume 12L --net -1kg --temperature 25C")

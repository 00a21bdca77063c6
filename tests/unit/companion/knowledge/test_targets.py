import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Temperature, TemperatureDifference
from companion.knowledge.targets import (
    NameplateNeeded,
    NoGo,
    OutsideTargets,
    SuperheatTarget,
    Target,
    target_subcooling,
    target_superheat,
)
from companion.knowledge.targets_table import read_targets

DF = TemperatureDifference.from_f


def _target(knowledge: Knowledge, outdoor_f: float, wet_f: float) -> SuperheatTarget:
    return target_superheat(
        knowledge.targets, Temperature.from_f(outdoor_f), Temperature.from_f(wet_f)
    )


def test_shape_of_the_table(knowledge: Knowledge) -> None:
    targets = knowledge.targets
    assert len(targets.outdoor_f) == 13
    assert len(targets.return_wet_bulb_f) == 14
    cells = [cell for row in targets.superheat_df for cell in row]
    assert len(cells) == 182
    assert sum(cell is not None for cell in cells) == 118
    assert all(5 <= cell <= 45 for cell in cells if cell is not None)


def test_every_cell_comes_back_through_kelvin(knowledge: Knowledge) -> None:
    targets = knowledge.targets
    for outdoor, row in zip(targets.outdoor_f, targets.superheat_df, strict=True):
        for wet, cell in zip(targets.return_wet_bulb_f, row, strict=True):
            found = _target(knowledge, outdoor, wet)
            if cell is None:
                assert isinstance(found, NoGo)
            else:
                assert isinstance(found, Target)
                assert found.value.f == pytest.approx(cell, abs=1e-9)


@given(st.floats(55, 115), st.floats(50, 76))
def test_between_cells_the_target_lies_between_them(
    knowledge: Knowledge, outdoor: float, wet: float
) -> None:
    found = _target(knowledge, outdoor, wet)
    assert not isinstance(found, OutsideTargets)
    if isinstance(found, Target):
        assert found.value.f + 1e-9 >= 5
        assert found.value.f <= 45 + 1e-9
        warmer = _target(knowledge, outdoor, min(76, wet + 0.5))
        assert isinstance(warmer, Target)
        assert warmer.value.f >= found.value.f - 1e-9


@pytest.mark.parametrize(("outdoor", "wet"), [(92.0, 62.0), (90.0, 61.9), (87, 61)])
def test_a_dash_with_any_share_is_no_go(
    knowledge: Knowledge, outdoor: float, wet: float
) -> None:
    found = _target(knowledge, outdoor, wet)
    assert isinstance(found, NoGo)
    assert "weigh the charge in" in found.reason


@pytest.mark.parametrize(
    ("outdoor", "wet", "what"),
    [
        (54.9, 60, "outdoor temperature"),
        (115.1, 76, "outdoor temperature"),
        (80, 49.9, "return wet bulb"),
        (80, 76.1, "return wet bulb"),
    ],
)
def test_outside_the_table_nothing_is_extrapolated(
    knowledge: Knowledge, outdoor: float, wet: float, what: str
) -> None:
    found = _target(knowledge, outdoor, wet)
    assert isinstance(found, OutsideTargets)
    assert found.what == what
    assert what in found.reason


def test_the_plate_rules_and_nothing_is_assumed_silently(knowledge: Knowledge) -> None:
    plate = target_subcooling(knowledge.targets, DF(12))
    assert isinstance(plate, Target)
    assert plate.value.f == pytest.approx(12)
    assert not plate.assumed
    needed = target_subcooling(knowledge.targets, None)
    assert isinstance(needed, NameplateNeeded)
    assert "plate" in needed.reason
    assumed = target_subcooling(knowledge.targets, None, assume=True)
    assert isinstance(assumed, Target)
    assert assumed.assumed
    assert assumed.citation.mark == "from memory"


@pytest.mark.parametrize("df", [0.0, 41.0, -3.0])
def test_a_plate_does_not_print_that(knowledge: Knowledge, df: float) -> None:
    with pytest.raises(ValueError, match="read the plate again"):
        target_subcooling(knowledge.targets, DF(df))


@pytest.mark.parametrize(
    ("right", "wrong", "key"),
    [
        ("outdoor_f = [55, 60,", "outdoor_f = [60, 55,", "superheat.outdoor_f"),
        ("[9, 12, 14,", "[9, 14,", "superheat.target_df.0"),
        ("[9, 12, 14,", "[12, 9, 14,", "superheat.target_df.0"),
        (
            "  [9, 12, 14, 17, 20, 23, 26, 29, 32, 35, 37, 40, 42, 45],\n",
            "",
            "superheat.target_df",
        ),
        ('"long-line-guide-r410a"', '"a guide"', "liquid_line.cite"),
        ("assumed_df", "assume_df", "subcooling.assume_df"),
    ],
)
def test_bad_files(
    knowledge: Knowledge, texts: dict[str, str], right: str, wrong: str, key: str
) -> None:
    assert right in texts["targets.toml"]
    spoiled = texts["targets.toml"].replace(right, wrong, 1)
    found = read_targets(spoiled, knowledge.sources)
    assert isinstance(found, tuple)
    assert key in {fault.key for fault in found}

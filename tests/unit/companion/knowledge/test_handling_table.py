import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.handling import Handling, Tolerance
from companion.knowledge.handling_table import FILE, read_handling
from companion.knowledge.loading import Knowledge
from companion.shell.knowledge_files import read_data_file

TEXT = read_data_file(FILE)


def test_the_shipped_file(knowledge: Knowledge) -> None:
    handling = knowledge.handling
    assert handling.leak_shift_max.f == pytest.approx(1.5)
    assert handling.fill_share == pytest.approx(0.8)
    assert handling.citations["tolerance"].mark == "from memory"
    assert len(handling.tolerances) == 48
    for name, tolerance in handling.tolerances.items():
        found = knowledge.catalogue.get(name)
        assert isinstance(found, Refrigerant)
        label = tuple(found.mass_pct.values())
        assert tolerance.holds(label, label)
        # A component may be short by no more than there is of it.
        assert all(
            minus <= share for share, minus in zip(label, tolerance.minus, strict=True)
        )


def test_a_tolerance_holds_up_to_its_edge() -> None:
    tolerance = Tolerance(plus=(0.5, 1.5), minus=(1.5, 0.5), checked=True)
    assert tolerance.holds((50, 50), (48.5, 51.5))
    assert tolerance.holds((50, 50), (50.5, 49.5))
    assert not tolerance.holds((50, 50), (50.6, 49.4))
    assert not tolerance.holds((50, 50), (48.4, 51.6))


@pytest.mark.parametrize(
    ("right", "wrong", "key"),
    [
        ("value_share = 0.8", "value_share = 1.8", "fill_share.value_share"),
        ('"cfr-49-173", at = "section 173.304(b)"', '"x", at = "y"', "not_liquid_full"),
        ('"R-410A" = { plus = [0.5, ', '"R-410A" = { plus = [', "tolerance.of.R-410A"),
        (
            '"R-410A" = { plus = [0.5',
            '"R-410A" = { plus = [-1.0',
            "tolerance.of.R-410A",
        ),
        ('"R-410A" = { plus', '"R-410Z" = { plus', "tolerance.of.R-410Z"),
    ],
)
def test_bad_files(knowledge: Knowledge, right: str, wrong: str, key: str) -> None:
    assert right in TEXT
    text = TEXT.replace(right, wrong, 1)
    found = read_handling(text, knowledge.sources, knowledge.catalogue)
    assert not isinstance(found, Handling)
    assert any(fault.key.startswith(key) for fault in found)

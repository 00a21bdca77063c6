import pytest

from companion.knowledge.line_charge import line_charge
from companion.knowledge.loading import Knowledge
from companion.knowledge.quantities import Length, Mass

FT = Length.from_ft


def test_a_longer_line_needs_more(knowledge: Knowledge) -> None:
    found = line_charge(knowledge.targets, Mass.from_oz(96), "3/8", FT(40), FT(15))
    assert found.adder.oz == pytest.approx(15)
    assert found.total.oz == pytest.approx(111)
    assert not found.shorter


def test_a_shorter_line_says_so(knowledge: Knowledge) -> None:
    found = line_charge(knowledge.targets, Mass.from_oz(96), "1/4", FT(10), FT(15))
    assert found.adder.oz == pytest.approx(-1.35)
    assert found.shorter


def test_an_unknown_diameter_names_the_known_ones(knowledge: Knowledge) -> None:
    with pytest.raises(ValueError, match="1/4, 5/16, 3/8"):
        line_charge(knowledge.targets, Mass(3), "7/8", FT(40), FT(15))


@pytest.mark.parametrize(("length", "included"), [(-1.0, 15.0), (20.0, -15.0)])
def test_no_length_is_negative(
    knowledge: Knowledge, length: float, included: float
) -> None:
    with pytest.raises(ValueError, match="cannot be negative"):
        line_charge(knowledge.targets, Mass(3), "3/8", FT(length), FT(included))

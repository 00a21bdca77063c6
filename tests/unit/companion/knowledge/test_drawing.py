import pytest

from companion.knowledge.catalogue import Kind
from companion.knowledge.drawing import CylinderStand, Draw, cylinder_stand, drawing


@pytest.mark.parametrize(
    ("draw", "dip_tube", "stand"),
    [
        ("liquid", False, "inverted"),
        ("liquid", True, "upright"),
        ("vapor", False, "upright"),
        ("vapor", True, "inverted"),
    ],
)
def test_a_dip_tube_turns_it_around(
    draw: Draw, dip_tube: bool, stand: CylinderStand
) -> None:
    assert cylinder_stand(draw, dip_tube=dip_tube) == stand
    found = drawing("single", "R-22", draw, dip_tube=dip_tube)
    assert (found.draw, found.cylinder) == (draw, stand)
    assert "R-22" in found.reason
    assert stand in found.reason


@pytest.mark.parametrize("dip_tube", [True, False])
def test_vapor_is_never_drawn_from_a_zeotrope(dip_tube: bool) -> None:
    with pytest.raises(ValueError, match="liquid only"):
        drawing("zeotrope", "R-407C", "vapor", dip_tube=dip_tube)


@pytest.mark.parametrize(
    ("kind", "word"), [("zeotrope", "blend"), ("azeotrope", "azeotrope")]
)
def test_the_reason_names_the_kind(kind: Kind, word: str) -> None:
    assert word in drawing(kind, "R-500", "liquid", dip_tube=False).reason

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.catalogue import (
    NotKnown,
    OutOfScope,
    Refrigerant,
    Unsupported,
    build_catalogue,
)
from companion.knowledge.loading import Knowledge

Find = Callable[[str], Refrigerant]


def test_row_counts(knowledge: Knowledge) -> None:
    catalogue = knowledge.catalogue
    assert len(catalogue.refrigerants) == 72
    assert len(catalogue.out_of_scope) == 2
    assert len(catalogue.recognized) == 105
    assert len(catalogue.by_key) == 179
    assert sum(each.tier == 1 for each in catalogue.refrigerants) == 29


def test_the_order_is_of_use(knowledge: Knowledge) -> None:
    tiers = [each.tier for each in knowledge.catalogue.refrigerants]
    assert tiers == sorted(tiers)


def test_a_zeotrope(refrigerant: Find) -> None:
    found = refrigerant("407c")
    assert found.designation == "R-407C"
    assert found.kind == "zeotrope"
    assert found.mass_pct == {"R-32": 23, "R-125": 25, "R-134a": 52}
    assert found.glide.k == pytest.approx(7.1)
    assert found.charging_draw == "liquid"
    assert found.high_glide
    assert found.gwp_ar4 == 1774
    assert not found.flammable


def test_near_azeotropes_have_no_high_glide_but_are_drawn_as_liquid(
    refrigerant: Find,
) -> None:
    for name in ("R-410A", "R-454B", "R-404A"):
        found = refrigerant(name)
        assert not found.high_glide
        assert found.charging_draw == "liquid"


def test_singles_and_azeotropes_may_be_drawn_either_way(refrigerant: Find) -> None:
    for name in ("R-22", "R-32", "R-134a", "R-290", "R-507A", "R-513A"):
        assert refrigerant(name).charging_draw == "either"


def test_an_uncertain_safety_group_is_worked_with_as_a_stricter_one(
    knowledge: Knowledge, refrigerant: Find
) -> None:
    found = refrigerant("R-458A")
    assert found.safety_group == "A1"
    assert not found.safety_group_certain
    assert found.caution_group == "A2L"
    assert found.flammable
    assert found.citations["safety_group"].mark == "from memory"
    for each in knowledge.catalogue.refrigerants:
        same = each.caution_group == each.safety_group
        assert same == each.safety_group_certain


def test_certain_groups(refrigerant: Find) -> None:
    groups = {"R-22": "A1", "R-32": "A2L", "R-290": "A3", "R-123": "B1"}
    for name, group in groups.items():
        found = refrigerant(name)
        assert found.safety_group == group
        assert found.safety_group_certain


def test_every_value_is_cited(knowledge: Knowledge) -> None:
    for each in knowledge.catalogue.refrigerants:
        assert len(each.citations) == (6 if each.kind == "single" else 7)
        for cited in each.citations.values():
            assert cited.source in knowledge.sources


def test_gwp_of_blends_is_the_mean_of_their_parts(knowledge: Knowledge) -> None:
    """Those whose parts are all in the catalogue; whole numbers, so half of one off."""
    parts = {each.designation: each for each in knowledge.catalogue.refrigerants}
    checked = 0
    for each in knowledge.catalogue.refrigerants:
        if each.kind == "single" or not parts.keys() >= each.mass_pct.keys():
            continue
        checked += 1
        mean = sum(pct / 100 * parts[n].gwp_ar4 for n, pct in each.mass_pct.items())
        assert each.gwp_ar4 == pytest.approx(mean, abs=0.6), each.designation
    assert checked >= 15


@pytest.mark.parametrize("name", ["R-744", "717"])
def test_out_of_scope_says_why(knowledge: Knowledge, name: str) -> None:
    found = knowledge.catalogue.get(name)
    assert isinstance(found, OutOfScope)
    assert found.designation in found.reason
    assert len(found.why) > 30


def test_rare_ones_are_recognized(knowledge: Knowledge) -> None:
    found = knowledge.catalogue.get("R-11")
    assert isinstance(found, Unsupported)
    assert "not supported" in found.reason


def test_a_misheard_name_brings_those_near_it(knowledge: Knowledge) -> None:
    found = knowledge.catalogue.get("R-488A")
    assert isinstance(found, NotKnown)
    assert {"R-448A", "R-458A"} <= set(found.near)
    assert "R-458A" in found.reason
    nothing = knowledge.catalogue.get("water")
    assert isinstance(nothing, NotKnown)
    assert nothing.near == ()
    assert "read the label" in nothing.reason


def test_near_never_holds_the_name_itself(knowledge: Knowledge) -> None:
    for name in knowledge.catalogue.designations:
        assert name not in knowledge.catalogue.near(name)
    assert knowledge.catalogue.near("R-458A")[0] in ("R-438A", "R-448A")


@given(st.text(max_size=12))
def test_no_text_breaks_the_search(knowledge: Knowledge, text: str) -> None:
    assert knowledge.catalogue.get(text).kind is not None


def test_a_designation_cannot_be_there_twice() -> None:
    twice = (Unsupported(designation="R-11"), Unsupported(designation="r 11"))
    with pytest.raises(ValueError, match="listed twice: 11"):
        build_catalogue((), (), twice)

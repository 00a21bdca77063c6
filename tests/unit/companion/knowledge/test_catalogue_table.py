import pytest

from companion.knowledge.catalogue import Catalogue
from companion.knowledge.catalogue_table import read_catalogue
from companion.knowledge.loading import Knowledge
from companion.knowledge.tables import TableFault

GOOD = """
recognized = ["R-11"]

[high_glide]
value_df = 5.0
cite = { source = "own-choice", at = "x", mark = "own design" }

[citations]
book = { source = "ashrae-fundamentals-2021", at = "table 2", mark = "read at source" }

[[out_of_scope]]
designation = "R-744"
reason = "too high a pressure"

[[fluid]]
designation = "R-600"
saturation_error_k = 0.05
pressure_error_pct = 0.2
cite = "book"

[[refrigerant]]
designation = "R-407C"
tier = 1
kind = "zeotrope"
mass_pct = { "R-32" = 23.0, "R-125" = 25.0, "R-134a" = 52.0 }
safety_group = "A1"
normal_bubble_c = -43.8
normal_dew_c = -36.7
gwp_ar4 = 1774.0
gwp_ar5 = 1624.0
odp = 0.0
ozone_class = "none"
saturation_error_k = 0.17
pressure_error_pct = 0.6
cite = { mass_pct = "book", safety_group = "book", normal_points = "book", gwp_ar4 = "book", gwp_ar5 = "book", odp = "book", saturation_error = "book" }
"""


def _faults(knowledge: Knowledge, text: str) -> dict[str, TableFault]:
    found = read_catalogue(text, knowledge.sources)
    assert isinstance(found, tuple)
    return {fault.key: fault for fault in found}


def test_a_good_file(knowledge: Knowledge) -> None:
    found = read_catalogue(GOOD, knowledge.sources)
    assert isinstance(found, Catalogue)
    assert [each.designation for each in found.refrigerants] == ["R-407C"]
    assert list(found.fluids) == ["R-600"]
    assert found.fluids["R-600"].saturation_error.k == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("right", "wrong", "key", "hint"),
    [
        ("52.0 }", "51.0 }", "R-407C.mass_pct", "sums to 99 %"),
        ('kind = "zeotrope"', 'kind = "single"', "R-407C.kind", "3 components"),
        ("dew_c = -36.7", "dew_c = -46.7", "R-407C.normal_dew_c", "below the bubble"),
        ('odp = "book"', 'odp = "bok"', "R-407C.cite.odp", "'bok' is not known"),
        ('odp = "book", ', "", "R-407C.cite.odp", "no citation"),
        ('["R-11"]', '["R-407C"]', "407C", "listed 2 times"),
        ('"R-600"', '"R-407c"', "407C", "listed 2 times"),
        ('cite = "book"', 'cite = "bok"', "R-600.cite", "'bok' is not known"),
        ("ashrae-fund", "ashre-fund", "citations.book", "not in sources.toml"),
        ("gwp_ar4 = 1774.0", "gwp = 1.0", "refrigerant.0.gwp", "not permitted"),
        ('group = "A1"', 'group = "A4"', "refrigerant.0.safety_group", "'A2L'"),
        ('"own-choice"', '"nobody"', "high_glide.cite", "not in sources.toml"),
    ],
)
def test_bad_files(
    knowledge: Knowledge, right: str, wrong: str, key: str, hint: str
) -> None:
    assert right in GOOD
    faults = _faults(knowledge, GOOD.replace(right, wrong, 1))
    assert hint in faults[key].wrong
    assert faults[key].right

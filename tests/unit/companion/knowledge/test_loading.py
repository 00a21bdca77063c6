import subprocess
import sys

import pytest

from companion.knowledge.charging_ways import BLENDS, PRACTICE, WEIGH_IN
from companion.knowledge.loading import FILES, Knowledge, load_knowledge
from companion.knowledge.tables import TableError

HEAVY = ("numpy", "CoolProp", "scipy", "matplotlib")


def test_the_shipped_files_load(knowledge: Knowledge, texts: dict[str, str]) -> None:
    again = load_knowledge(texts)
    assert again.catalogue.designations == knowledge.catalogue.designations
    assert again.limits == knowledge.limits


def test_every_rule_cites_a_source_with_a_reference(
    knowledge: Knowledge,
) -> None:
    for cited in (BLENDS, PRACTICE, WEIGH_IN):
        assert cited.source in knowledge.sources
    for source in knowledge.sources.values():
        assert source.reference.endswith(".")


def test_a_missing_file_is_named(texts: dict[str, str]) -> None:
    del texts["limits.toml"]
    with pytest.raises(TableError, match=r"limits\.toml: -: the file is missing"):
        load_knowledge(texts)


def test_faults_of_all_files_come_together(texts: dict[str, str]) -> None:
    texts["limits.toml"] = texts["limits.toml"].replace("[frost_point]", "[frost]")
    texts["targets.toml"] = texts["targets.toml"].replace("assumed_df", "assume")
    texts["saturation.json"] = "{}"
    with pytest.raises(TableError) as caught:
        load_knowledge(texts)
    assert {fault.file for fault in caught.value.faults} == {
        "limits.toml",
        "targets.toml",
        "saturation.json",
    }


def test_a_broken_catalogue_does_not_blame_the_saturation_tables(
    texts: dict[str, str],
) -> None:
    texts["refrigerants.toml"] = "refrigerant = []"
    with pytest.raises(TableError) as caught:
        load_knowledge(texts)
    assert {fault.file for fault in caught.value.faults} == {"refrigerants.toml"}


def test_broken_sources_stop_everything(texts: dict[str, str]) -> None:
    texts["sources.toml"] = "[x]"
    with pytest.raises(TableError, match="add this key"):
        load_knowledge(texts)


def test_nothing_heavy_is_imported() -> None:
    """CoolProp takes seconds and numpy a tenth of one; both stay out at run time."""
    code = (
        "import sys, companion.shell.knowledge_files as k, companion.knowledge.charging,"
        " companion.knowledge.diagnosis, companion.knowledge.plausible,"
        " companion.knowledge.criteria, companion.knowledge.coolprop_properties,"
        " companion.shell.lookups, companion.shell.lookup_method,"
        " companion.shell.lookup_targets, companion.shell.lookup_finding,"
        " companion.shell.lookup_withdrawal, companion.shell.lookup_leak,"
        " companion.shell.lookup_cylinder, companion.shell.plots;"
        f"k.read_knowledge(); print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run(  # noqa: S603 - our own interpreter and our own text
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_the_files_are_those_that_are_shipped(texts: dict[str, str]) -> None:
    assert tuple(texts) == FILES

from companion.knowledge.fault_signs import FILE, rank, read_fault_signs
from companion.knowledge.loading import Knowledge
from companion.shell.knowledge_files import read_data_file


def test_each_fault_is_told_by_its_own_signs(knowledge: Knowledge) -> None:
    table = read_fault_signs(read_data_file(FILE), knowledge.sources)
    assert isinstance(table, tuple)
    for row in table:
        best = rank(table, row.signs)[0]
        assert best.fault.fault == row.fault
        assert best.contradict == ()
        assert set(best.agree) == set(row.signs)


def test_a_sign_the_other_way_counts_against(knowledge: Knowledge) -> None:
    table = read_fault_signs(read_data_file(FILE), knowledge.sources)
    assert isinstance(table, tuple)
    short = {"suction": "-", "superheat": "+", "subcooling": "-"}
    fits = {fit.fault.fault: fit for fit in rank(table, short)}  # type: ignore[arg-type]
    assert next(iter(fits)) == "short-of-charge"
    assert fits["liquid-line-restriction"].contradict == ("subcooling",)
    assert fits["little-indoor-air"].contradict == ("superheat",)


def test_a_spoiled_table_is_refused(knowledge: Knowledge) -> None:
    text = read_data_file(FILE)
    for spoiled in (text.replace('"hvacr-research-4-3"', '"hearsay"'), text + "[x"):
        found = read_fault_signs(spoiled, knowledge.sources)
        assert isinstance(found, list)
        assert found

from companion.knowledge.errors import CompanionError
from companion.knowledge.tables import (
    Citation,
    CitationModel,
    Source,
    TableError,
    TableFault,
    TableModel,
    check_table,
    citation,
    read_sources,
    unknown_sources,
)


class _Row(TableModel):
    name: str
    value_psi: float
    cite: CitationModel


GOOD = """
name = "rise"
value_psi = 10.0
cite = { source = "here", at = "table 1", mark = "read at source" }
"""


def _faults(text: str, file: str = "t.toml") -> dict[str, TableFault]:
    found = check_table(file, text, _Row)
    assert isinstance(found, tuple)
    return {fault.key: fault for fault in found}


def test_a_good_table_comes_back_checked() -> None:
    found = check_table("t.toml", GOOD, _Row)
    assert isinstance(found, _Row)
    assert found.value_psi == 10
    assert citation(found.cite) == Citation(
        source="here", at="table 1", mark="read at source"
    )


def test_all_faults_come_at_once_with_where_and_what() -> None:
    faults = _faults(
        'nmae = "rise"\nvalue_psi = "10"\n'
        'cite = { source = "here", at = "", mark = "sure" }'
    )
    assert set(faults) == {"name", "nmae", "value_psi", "cite.at", "cite.mark"}
    assert "remove it" in faults["nmae"].right
    assert faults["name"].right == "add this key"
    assert "'10'" in faults["value_psi"].wrong
    assert "read at source" in faults["cite.mark"].wrong


def test_a_file_that_is_no_toml_says_where() -> None:
    assert "line 2" in _faults("x = 1\nname = \ny = 2").pop("-").wrong


def test_a_json_file_is_read_as_json() -> None:
    assert "JSON" in _faults("name = 1", "t.json").pop("-").right


def test_a_source_must_be_known() -> None:
    cited = {"rise.cite": CitationModel(source="there", at="p. 1", mark="computed")}
    known = {"here": Source(id="here", reference="A book of tables", note="")}
    (fault,) = unknown_sources("t.toml", cited, known)
    assert fault.key == "rise.cite"
    assert "'there'" in fault.wrong
    assert "here" in fault.right
    assert unknown_sources("t.toml", cited, {"there": known["here"]}) == ()


def test_sources_are_read_by_id() -> None:
    found = read_sources('[book]\nreference = "A book of tables, 1998."')
    assert isinstance(found, dict)
    assert found["book"].reference == "A book of tables, 1998."
    assert isinstance(read_sources('[book]\nreference = "x"'), tuple)


def test_the_error_lists_every_fault() -> None:
    faults = [
        TableFault(file="a.toml", key="x", wrong="no value", right="give one"),
        TableFault(file="b.toml", key="y.z", wrong="twice", right="keep one"),
    ]
    error = TableError(faults)
    assert isinstance(error, CompanionError)
    assert error.faults == tuple(faults)
    assert "a.toml: x: no value; give one" in str(error)
    assert "b.toml: y.z: twice; keep one" in str(error)

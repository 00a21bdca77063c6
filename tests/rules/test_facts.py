"""Every kind of fact, with anything in it, survives being written and read."""

import dataclasses
from typing import Any, get_origin, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.job.amounts import Amount
from companion.job.facts import FACT_TYPES
from companion.shell.journal import fact_from_json, fact_to_dict, fact_to_json
from tests.rules.conftest import examples

_numbers = st.floats(allow_nan=False, allow_infinity=False)


def records(record: Any) -> st.SearchStrategy[Any]:
    """Build a record type from what its fields may hold."""
    hints = get_type_hints(record)
    fields = [each.name for each in dataclasses.fields(record) if each.name != "kind"]
    return st.builds(record, **{name: values(hints[name]) for name in fields})


def values(hint: Any) -> st.SearchStrategy[Any]:
    if hint is float:
        return _numbers
    if hint is str:
        return st.text(max_size=20)
    parts = getattr(hint, "__args__", ())
    if get_origin(hint) is tuple:
        return st.lists(values(parts[0]), max_size=3).map(tuple)
    if dataclasses.is_dataclass(hint):
        return records(hint)
    if parts and not all(isinstance(part, str) for part in parts):
        return st.one_of(values(part) for part in parts)
    return st.from_type(hint)


@pytest.mark.parametrize("record", FACT_TYPES, ids=lambda each: each.__name__)
def test_it_survives(record: Any) -> None:
    @examples(25)
    @given(records(record))
    def survives(fact: Any) -> None:
        text = fact_to_json(fact)
        assert fact_from_json(text) == fact
        assert fact_to_dict(fact)["kind"] == fact.kind

    survives()


def test_an_amount_is_never_written_as_nothing() -> None:
    """Infinity would be written as null; it is refused where it is made."""
    for wrong in (float("inf"), float("-inf"), float("nan")):
        with pytest.raises(ValueError, match="finite"):
            Amount(of="mass", si=wrong)

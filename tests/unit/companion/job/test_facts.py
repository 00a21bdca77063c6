import dataclasses
from typing import Any, get_type_hints

import pytest

from companion.job import facts
from companion.job.facts import FACT_TYPES


@pytest.mark.parametrize("fact", FACT_TYPES, ids=lambda each: each.__name__)
def test_a_fact_is_frozen_keyword_only_and_timed(fact: Any) -> None:
    params = fact.__dataclass_params__
    assert params.frozen
    assert all(field.kw_only for field in dataclasses.fields(fact))
    assert get_type_hints(fact)["at"] is float
    assert hasattr(fact, "__slots__")


def test_kinds_are_unique() -> None:
    names = [fact.__dataclass_fields__["kind"].default for fact in FACT_TYPES]
    assert len(set(names)) == len(names)


def test_no_fact_is_left_out_of_the_vocabulary() -> None:
    timed = {
        each
        for each in vars(facts).values()
        if dataclasses.is_dataclass(each) and "at" in each.__dataclass_fields__
    }
    assert timed == set(FACT_TYPES)

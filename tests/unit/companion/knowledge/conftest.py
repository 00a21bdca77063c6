"""The shipped knowledge, and a few refrigerants of it."""

from collections.abc import Callable

import pytest

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.loading import FILES, Knowledge
from companion.shell.knowledge_files import read_data_file, read_knowledge


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return read_knowledge()


@pytest.fixture(scope="session")
def refrigerant(knowledge: Knowledge) -> Callable[[str], Refrigerant]:
    def find(designation: str) -> Refrigerant:
        found = knowledge.catalogue.get(designation)
        assert isinstance(found, Refrigerant)
        return found

    return find


@pytest.fixture
def texts() -> dict[str, str]:
    """Text of every shipped file, to be spoiled by a test."""
    return {name: read_data_file(name) for name in FILES}

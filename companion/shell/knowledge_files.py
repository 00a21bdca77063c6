"""Read the packaged data files of the knowledge, once at start."""

from importlib.resources import files

from companion.knowledge.loading import FILES, Knowledge, load_knowledge


def read_data_file(name: str) -> str:
    """Give the text of one packaged data file of the knowledge."""
    return (files("companion.knowledge") / "data" / name).read_text(encoding="utf-8")


def read_knowledge() -> Knowledge:
    """Load everything that is known from the packaged files.

    Raises
    ------
    TableError
        If a file is wrong; the message lists every fault.
    """
    return load_knowledge({name: read_data_file(name) for name in FILES})

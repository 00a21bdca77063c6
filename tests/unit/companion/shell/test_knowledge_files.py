import pytest

from companion.knowledge.loading import FILES
from companion.shell.knowledge_files import read_data_file, read_knowledge


def test_everything_is_packaged() -> None:
    for name in FILES:
        assert read_data_file(name)
    assert len(read_data_file("saturation.json").encode()) < 600_000
    assert read_knowledge().catalogue.refrigerants


def test_an_unknown_file_is_an_error() -> None:
    with pytest.raises(FileNotFoundError):
        read_data_file("none.toml")

from pathlib import Path

import pytest

from companion.shell.exports import write_whole


@pytest.mark.parametrize(
    ("content", "data"),
    [("caf\u00e9\n", b"caf\xc3\xa9\n"), (b"\x00\xff", b"\x00\xff"), ("", b"")],
)
def test_text_and_bytes_are_written(
    tmp_path: Path, content: str | bytes, data: bytes
) -> None:
    path = tmp_path / "job.html"
    write_whole(path, content)
    assert path.read_bytes() == data
    assert list(tmp_path.iterdir()) == [path], "nothing else is left behind"


def test_an_old_file_is_replaced_whole(tmp_path: Path) -> None:
    path = tmp_path / "job.html"
    write_whole(path, "a longer text than the next")
    write_whole(path, "short")
    assert path.read_text() == "short"


def test_a_failure_leaves_the_old_file(tmp_path: Path) -> None:
    path = tmp_path / "job.html"
    write_whole(path, "old")
    (tmp_path / ".job.html.part").mkdir()
    with pytest.raises(OSError, match=r"job\.html\.part"):
        write_whole(path, "new")
    assert path.read_text() == "old"


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError, match="missing"):
        write_whole(tmp_path / "missing" / "job.html", "text")

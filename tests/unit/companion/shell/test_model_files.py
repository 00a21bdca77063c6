import hashlib
import zipfile
from pathlib import Path

import pytest

from companion.shell.errors import CompanionError
from companion.shell.model_files import Pin, add_model, damaged, read_pin


def zipped(
    folder: Path, names: tuple[str, ...] = ("top/am/a.bin", "top/conf/b")
) -> Path:
    path = folder / "small.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name in names:
            archive.writestr(name, name * 10)
    return path


def pin_of(path: Path) -> Pin:
    data = path.read_bytes()
    return Pin(sha256=hashlib.sha256(data).hexdigest(), size=len(data))


def test_a_model_is_unpacked_whole_and_once(tmp_path: Path) -> None:
    path = zipped(tmp_path)
    place = add_model(path, pin_of(path), tmp_path / "models")
    assert (place / "am/a.bin").read_text() == "top/am/a.bin" * 10
    assert damaged(place) == ""
    (place / "mark").touch()
    assert add_model(path, pin_of(path), tmp_path / "models") == place
    assert (place / "mark").exists()
    assert [each.name for each in (tmp_path / "models").iterdir()] == ["small"]


def test_a_damaged_file_is_noticed_and_replaced(tmp_path: Path) -> None:
    path = zipped(tmp_path)
    place = add_model(path, pin_of(path), tmp_path / "models")
    (place / "conf/b").write_text("flipped")
    assert damaged(place) == "damaged or missing: conf/b"
    add_model(path, pin_of(path), tmp_path / "models")
    assert damaged(place) == ""


def test_another_size_or_sum_is_refused(tmp_path: Path) -> None:
    path = zipped(tmp_path)
    good = pin_of(path)
    with pytest.raises(CompanionError, match="bytes, not the 7 of its pin"):
        add_model(path, Pin(sha256=good.sha256, size=7), tmp_path / "models")
    with pytest.raises(CompanionError, match="it is damaged or another"):
        add_model(path, Pin(sha256="0" * 64, size=good.size), tmp_path / "models")
    assert not (tmp_path / "models").exists()


@pytest.mark.parametrize("name", ["../evil", "/etc/evil", "a/../../evil"])
def test_a_name_that_leads_out_is_refused(tmp_path: Path, name: str) -> None:
    path = zipped(tmp_path, ("good", name))
    with pytest.raises(CompanionError, match="leads out of its folder"):
        add_model(path, pin_of(path), tmp_path / "models")


def test_a_pin_lies_beside_its_file(tmp_path: Path) -> None:
    path = zipped(tmp_path)
    good = pin_of(path)
    beside = tmp_path / "small.zip.pin"
    beside.write_text(f"{good.sha256.upper()}  {good.size}\n")
    assert read_pin(path) == good
    beside.write_text("nothing")
    with pytest.raises(CompanionError, match="must hold the SHA-256"):
        read_pin(path)

import sys
from pathlib import Path
from typing import Any

import pytest

from hardware.header import PinLibrary, header_chip, load_pin_library, model
from hardware.ports import HardwareError


class FakeLibrary:
    """Stands in for the library of real pins; remembers what is open."""

    class error(Exception):  # noqa: N801, N818 - the library's own name
        pass

    def __init__(self, labels: dict[int, str], locked: tuple[int, ...] = ()) -> None:
        self.labels = labels
        self.locked = locked
        self.open: set[int] = set()

    def gpiochip_open(self, number: int) -> int:
        if number in self.locked:
            raise self.error("can not open gpiochip")
        self.open.add(number)
        return number

    def gpiochip_close(self, handle: int) -> None:
        self.open.remove(handle)

    def gpio_get_chip_info(self, handle: int) -> tuple[int, int, str, str]:
        return 0, 54, f"gpiochip{handle}", self.labels[handle]


def chips(root: Path, *numbers: int) -> Path:
    (root / "dev").mkdir()
    for number in numbers:
        (root / "dev" / f"gpiochip{number}").touch()
    return root


def library(fake: FakeLibrary) -> PinLibrary:
    return PinLibrary(module=fake, open_chip=lambda number: number)


@pytest.mark.parametrize(
    ("labels", "chip"),
    [
        ({0: "gpio-brcmstb@107d508500", 4: "pinctrl-rp1"}, 4),
        ({0: "pinctrl-rp1", 10: "gpio-brcmstb@107d508500"}, 0),
        ({11: "gpio-brcmstb@107d508500", 15: "pinctrl-rp1"}, 15),
        ({0: "pinctrl-bcm2711", 1: "raspberrypi-exp-gpio"}, 0),
        ({0: "pinctrl-bcm2835"}, 0),
    ],
)
def test_the_header_is_found_whatever_its_number(
    tmp_path: Path, labels: dict[int, str], chip: int
) -> None:
    fake = FakeLibrary(labels)
    assert header_chip(library(fake), chips(tmp_path, *labels)) == chip
    assert not fake.open


def test_a_second_name_for_a_chip_is_passed_over(tmp_path: Path) -> None:
    root = chips(tmp_path, 4)
    (root / "dev" / "gpiochip0").symlink_to("gpiochip4")
    assert header_chip(library(FakeLibrary({4: "pinctrl-rp1"})), root) == 4


def test_a_locked_chip_names_the_group(tmp_path: Path) -> None:
    fake = FakeLibrary({1: "other"}, locked=(0,))
    with pytest.raises(HardwareError, match=r"gpiochip0: can not open .* group gpio"):
        header_chip(library(fake), chips(tmp_path, 0, 1))


@pytest.mark.parametrize(
    ("labels", "found"), [({}, "none"), ({0: "odd", 1: "other"}, "odd, other")]
)
def test_no_header_names_what_was_found(
    tmp_path: Path, labels: dict[int, str], found: str
) -> None:
    with pytest.raises(HardwareError, match=f"chips found: {found}"):
        header_chip(library(FakeLibrary(labels)), chips(tmp_path, *labels))


def test_the_model_is_read_without_its_end_mark(tmp_path: Path) -> None:
    assert model(tmp_path) == ""
    (tmp_path / "proc/device-tree").mkdir(parents=True)
    (tmp_path / "proc/device-tree/model").write_bytes(b"Raspberry Pi 5 Model B\0")
    assert model(tmp_path) == "Raspberry Pi 5 Model B"


def test_a_missing_library_names_the_package(monkeypatch: Any) -> None:
    monkeypatch.setitem(sys.modules, "lgpio", None)  # as if it were not installed
    with pytest.raises(HardwareError, match="sudo apt install python3-lgpio"):
        load_pin_library()

"""Find the chip that drives the 40-pin header of a real board.

By its label, because its number has moved between kernels.
"""

import importlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hardware.ports import HardwareError

HEADER_LABELS = ("pinctrl-rp1", "pinctrl-bcm2711", "pinctrl-bcm2835")


@dataclass(frozen=True, slots=True, kw_only=True)
class PinLibrary:
    """The library of real pins: its module, and how to open one of its chips."""

    module: Any
    open_chip: Callable[[int], Any]


def load_pin_library() -> PinLibrary:
    """Import the library of real pins.

    Raises
    ------
    HardwareError
        If it is not installed.
    """
    try:
        module = importlib.import_module("lgpio")
        adapter = importlib.import_module("gpiozero.pins.lgpio")
    except ImportError as problem:
        raise HardwareError(
            f"real pins need the package lgpio ({problem}); install it with "
            "'sudo apt install python3-lgpio' and make the environment with "
            "--system-site-packages"
        ) from problem
    return PinLibrary(
        module=module, open_chip=lambda number: adapter.LGPIOFactory(chip=number)
    )


def model(root: Path) -> str:
    """Give the model of the board, empty where there is none."""
    try:
        raw = (root / "proc/device-tree/model").read_bytes()
    except OSError:
        return ""
    return raw.rstrip(b"\0").decode("utf-8", "replace")


def header_chip(library: PinLibrary, root: Path) -> int:
    """Give the number of the chip behind the 40-pin header.

    Raises
    ------
    HardwareError
        If no chip has the label of a header, or none may be opened.
    """
    seen: list[str] = []
    refused: list[str] = []
    for path in sorted(root.glob("dev/gpiochip*")):
        if path.is_symlink():
            continue
        number = int(path.name.removeprefix("gpiochip"))
        try:
            label = _label(library.module, number)
        except library.module.error as problem:
            refused.append(f"{path.name}: {problem}")
            continue
        if label in HEADER_LABELS:
            return number
        seen.append(label)
    if refused:
        raise HardwareError(
            f"the pins may not be opened ({'; '.join(refused)}); add the user to the "
            "group gpio with 'sudo adduser $USER gpio' and log in again"
        )
    found = ", ".join(seen) or "none"
    raise HardwareError(
        f"no chip drives the 40-pin header (chips found: {found}); update the system, "
        "or use the simulated board"
    )


def _label(module: Any, number: int) -> str:
    handle = module.gpiochip_open(number)
    try:
        return str(module.gpio_get_chip_info(handle)[3])
    finally:
        module.gpiochip_close(handle)

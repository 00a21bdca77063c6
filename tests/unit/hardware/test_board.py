import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from gpiozero import SPISoftwareFallback
from gpiozero.pins.mock import MockFactory

from hardware.board import CONVERTERS, Board, open_board
from hardware.converter import Channel
from hardware.header import PinLibrary
from hardware.ports import Fault, HardwareError, Pressed, Reading
from hardware.simulated import SimulatedPins
from hardware.transducers import DIVIDER, PressureCalibration

CHANNELS = (
    Channel(name="low", number=0, calibration=PressureCalibration(full_scale_psi=500)),
    Channel(name="high", number=3, calibration=PressureCalibration(full_scale_psi=800)),
)


class FakeLibrary:
    """One chip of a header, which may refuse to be opened."""

    class error(Exception):  # noqa: N801, N818 - the library's own name
        pass

    def gpiochip_open(self, number: int) -> int:
        return number

    def gpiochip_close(self, handle: int) -> None:
        assert handle == 4

    def gpio_get_chip_info(self, handle: int) -> tuple[int, int, str, str]:
        return 0, 54, f"gpiochip{handle}", "pinctrl-rp1"


def raspberry_pi(root: Path) -> Path:
    (root / "proc/device-tree").mkdir(parents=True)
    (root / "proc/device-tree/model").write_bytes(b"Raspberry Pi 5 Model B\0")
    (root / "dev").mkdir()
    (root / "dev/gpiochip4").touch()
    return root


def never() -> PinLibrary:
    raise AssertionError("real pins were touched")


def test_auto_off_a_raspberry_pi_is_simulated_and_says_so(tmp_path: Path) -> None:
    with open_board("auto", root=tmp_path, load=never) as board:
        assert board.kind == "simulated"
        assert board.note == "simulated pins, this is not a Raspberry Pi"


def test_simulated_on_a_raspberry_pi_stays_simulated(tmp_path: Path) -> None:
    with open_board("simulated", root=raspberry_pi(tmp_path), load=never) as board:
        assert (board.kind, board.note) == ("simulated", "simulated pins, as asked")


def test_real_never_falls_back(tmp_path: Path) -> None:
    with pytest.raises(HardwareError, match="an unknown machine and not a Raspberry"):
        open_board("real", root=tmp_path, load=never)


@pytest.mark.parametrize("kind", ["auto", "real"])
def test_on_a_raspberry_pi_the_chip_of_the_header_is_opened(
    tmp_path: Path, kind: Any
) -> None:
    opened: list[int] = []

    def open_chip(number: int) -> SimulatedPins:
        opened.append(number)
        return SimulatedPins()

    library = PinLibrary(module=FakeLibrary(), open_chip=open_chip)
    with open_board(kind, root=raspberry_pi(tmp_path), load=lambda: library) as board:
        assert board.kind == "real"
        assert board.note == "Raspberry Pi 5 Model B, gpiochip4"
    assert opened == [4]


def test_a_chip_in_use_is_named(tmp_path: Path) -> None:
    def refuse(number: int) -> None:
        raise FakeLibrary.error(f"busy {number}")

    library = PinLibrary(module=FakeLibrary(), open_chip=refuse)
    with pytest.raises(HardwareError, match=r"gpiochip4 cannot be opened \(busy 4\)"):
        open_board("auto", root=raspberry_pi(tmp_path), load=lambda: library)


def test_a_panel_opens_once() -> None:
    events: list[Pressed] = []
    with open_board("simulated") as board:
        board.panel(events.append).tick(0.0)
        with pytest.raises(
            HardwareError, match=r"the panel cannot be opened .* in use"
        ):
            board.panel(events.append)


def test_closing_the_board_closes_what_it_opened() -> None:
    board = open_board("simulated")
    board.panel(lambda _: None)
    board.sensors(CHANNELS)
    board.close()
    board.close()
    with Board(board.factory, kind="simulated", note="again") as again:
        again.panel(lambda _: None)


@pytest.mark.parametrize("bits", [10, 12])
def test_volts_travel_over_the_bus(bits: Any) -> None:
    with open_board("simulated") as board:
        sensors = board.sensors(CHANNELS, bits=bits)
        supply_v = 5.0 * DIVIDER
        board.factory.volts[0] = 0.5 * supply_v
        board.factory.volts[3] = 0.9 * supply_v
        board.factory.volts[7] = supply_v
        low, high = sensors.read()
    assert isinstance(low, Reading)
    assert isinstance(high, Reading)
    # Two counts, of signal and of supply, at the coarser of the converters.
    assert low.value == pytest.approx(250, abs=1.4)
    assert high.value == pytest.approx(800, abs=2.2)


def test_an_empty_bus_reads_as_faults() -> None:
    with open_board("simulated") as board:
        read = board.sensors(CHANNELS).read()
    assert [one.name for one in read if isinstance(one, Fault)] == ["no-supply"] * 2


def test_a_slow_imitation_of_the_bus_is_refused() -> None:
    class NoBus(MockFactory):  # type: ignore[misc]  # the library has no types
        def spi(self, **_: Any) -> Any:
            import warnings

            warnings.warn(SPISoftwareFallback("bus is off"), stacklevel=2)
            return super().spi()

    with (
        Board(NoBus(), kind="real", note="") as board,
        pytest.raises(HardwareError, match="do_spi 0"),
    ):
        board.sensors(CHANNELS)


def test_channels_that_clash_are_refused_before_the_bus_is_touched() -> None:
    with (
        open_board("simulated") as board,
        pytest.raises(ValueError, match="share a name"),
    ):
        board.sensors((CHANNELS[0], CHANNELS[0]))


def test_the_converters_exist_in_the_device_library() -> None:
    import gpiozero

    assert all(hasattr(gpiozero, name) for name in CONVERTERS.values())


def test_importing_the_kit_leaves_the_device_library_alone() -> None:
    code = "import sys, hardware; sys.exit('gpiozero' in sys.modules)"
    root = Path(__file__).parents[3]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, check=False)  # noqa: S603 - our own code
    assert done.returncode == 0

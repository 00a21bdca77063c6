"""Open the pins of a real board, or simulated ones, on purpose and never by accident.

The device library would try one way after another and only warn; here a real board
that cannot be had is an error with its cure.
"""

import importlib
import warnings
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal, Self, TypeAlias, TypeVar

from hardware.converter import Channel, ConverterSensors, check_channels
from hardware.header import PinLibrary, header_chip, load_pin_library, model
from hardware.ports import HardwareError, Panel, Pressed, Sensors

if TYPE_CHECKING:
    from hardware.van import VanSupply

Kind: TypeAlias = Literal["auto", "real", "simulated"]
CONVERTERS = {10: "MCP3008", 12: "MCP3208"}
SUPPLY_INPUT = 7

_T = TypeVar("_T")


class Board:
    """The pins, and all that was opened on them.

    ``kind`` says whether they are real, ``note`` says which ones in words, and
    ``factory`` is the device library's own object, for tests and rehearsals.
    Closing the board closes everything it opened, in reverse.
    """

    def __init__(
        self,
        factory: Any,
        *,
        kind: Literal["real", "simulated"],
        note: str,
        trouble: tuple[type[Exception], ...] = (),
    ) -> None:
        self.factory = factory
        self.kind = kind
        self.note = note
        self._trouble = (OSError, *trouble)
        self._opened = ExitStack()
        self._opened.callback(factory.close)

    def panel(self, on_press: Callable[[Pressed], None]) -> Panel:
        """Open buttons, lamps, sounder and vibration.

        Raises
        ------
        HardwareError
            If a pin is taken or cannot be used.
        """
        from hardware.panel import GpioPanel

        panel = self._claim("the panel", lambda: GpioPanel(self.factory, on_press))
        self._opened.callback(panel.close)
        return panel

    def van(self) -> "VanSupply":
        """Open ignition sense and backup power.

        Raises
        ------
        HardwareError
            If a pin is taken or cannot be used.
        """
        from hardware.van import VanSupply

        supply = self._claim("the van's supply", lambda: VanSupply(self.factory))
        self._opened.callback(supply.close)
        return supply

    def sensors(
        self,
        channels: Sequence[Channel],
        *,
        supply_number: int = SUPPLY_INPUT,
        bits: Literal[10, 12] = 12,
    ) -> Sensors:
        """Open the converter and the channels on it.

        Raises
        ------
        ValueError
            If two channels clash.
        HardwareError
            If the serial bus is off or taken. A converter that is not there cannot
            be told from one whose supply is off: its channels read as faults.
        """
        check_channels(channels, supply_number)
        library = importlib.import_module("gpiozero")
        make = getattr(library, CONVERTERS[bits])
        numbers = (supply_number, *(one.number for one in channels))
        with ExitStack() as opened, warnings.catch_warnings():
            # Without the hardware bus the library would go on with a slow imitation.
            warnings.simplefilter("error", library.SPISoftwareFallback)
            inputs = {
                number: opened.enter_context(
                    self._claim(
                        "the converter",
                        partial(make, channel=number, pin_factory=self.factory),
                    )
                )
                for number in numbers
            }
            opened.pop_all()
        sensors = ConverterSensors(
            channels, inputs, supply_number=supply_number, bits=bits
        )
        self._opened.callback(sensors.close)
        return sensors

    def _claim(self, what: str, make: Callable[[], _T]) -> _T:
        library = importlib.import_module("gpiozero")
        try:
            return make()
        except library.SPISoftwareFallback as problem:
            raise HardwareError(
                f"{what} cannot be reached ({problem}); switch the bus on with "
                "'sudo raspi-config nonint do_spi 0', restart, and see that the user "
                "is in the group spi"
            ) from problem
        except (library.GPIOZeroError, *self._trouble) as problem:
            raise HardwareError(
                f"{what} cannot be opened ({problem}); stop the other program that "
                "uses its pins, and check the pin map"
            ) from problem

    def close(self) -> None:
        """Close everything that was opened; closing twice is allowed."""
        self._opened.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def open_board(
    kind: Kind = "auto",
    *,
    root: Path = Path("/"),
    load: Callable[[], PinLibrary] = load_pin_library,
) -> Board:
    """Open a board: "real" never falls back, "auto" is real on a Raspberry Pi only.

    ``root`` and ``load`` are where to look for devices and how to get the library.

    Raises
    ------
    HardwareError
        If real pins are wanted and cannot be had; the message gives the cure.
    """
    name = model(root)
    on_pi = name.startswith("Raspberry Pi")
    if kind == "simulated" or (kind == "auto" and not on_pi):
        from hardware.simulated import SimulatedPins

        why = "as asked" if kind == "simulated" else "this is not a Raspberry Pi"
        return Board(SimulatedPins(), kind="simulated", note=f"simulated pins, {why}")
    if not on_pi:
        raise HardwareError(
            f"real pins were asked for, but this is {name or 'an unknown machine'} "
            "and not a Raspberry Pi; use the simulated board"
        )
    library = load()
    number = header_chip(library, root)
    try:
        factory = library.open_chip(number)
    except (OSError, library.module.error) as problem:
        raise HardwareError(
            f"gpiochip{number} cannot be opened ({problem}); stop the other program "
            "that uses it"
        ) from problem
    return Board(
        factory,
        kind="real",
        note=f"{name}, gpiochip{number}",
        trouble=(library.module.error,),
    )

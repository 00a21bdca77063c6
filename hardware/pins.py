"""Which pin of the 40-pin header does what, in GPIO numbers.

Buttons pull their pin to ground when pressed. GPIO 0 to 8 are pulled up at reset, so
such a button reads as open while the board starts; GPIO 9 to 27 are pulled down, so
the drivers of sounder, vibration and lamps stay off (both from memory of the
processor's peripherals manual). Vibration and sounder sit on pins that can be
pulsed by hardware (Raspberry Pi documentation, GPIO pages).
"""

from collections.abc import Mapping
from types import MappingProxyType

from hardware.ports import Button, Lamp

BUTTONS: Mapping[Button, int] = MappingProxyType(
    {"confirm": 5, "say-again": 6, "stop": 16, "talk": 17}
)
LAMPS: Mapping[Lamp, int] = MappingProxyType({"listening": 25, "attention": 26})
VIBRATION = 12
SOUNDER = 13

SPI_CLOCK = 11
SPI_OUT = 10
SPI_IN = 9
SPI_SELECT = 8

I2C_DATA = 2
I2C_CLOCK = 3
ONE_WIRE = 4
BACKUP_POWER = 22
IGNITION = 27

USES: Mapping[int, str] = MappingProxyType(
    {
        I2C_DATA: "clock chip, data",
        I2C_CLOCK: "clock chip, clock",
        ONE_WIRE: "digital thermometers",
        BUTTONS["confirm"]: "button confirm",
        BUTTONS["say-again"]: "button say-again",
        SPI_SELECT: "converter, select",
        SPI_IN: "converter, data in",
        SPI_OUT: "converter, data out",
        SPI_CLOCK: "converter, clock",
        VIBRATION: "vibration",
        SOUNDER: "sounder",
        BUTTONS["stop"]: "button stop",
        BUTTONS["talk"]: "button talk",
        BACKUP_POWER: "on backup power",
        LAMPS["listening"]: "lamp listening",
        LAMPS["attention"]: "lamp attention",
        IGNITION: "ignition sense",
    }
)
"""Every pin in use and what for; the wiring page has the same table."""

KEPT_FREE = frozenset({0, 1, 7, 14, 15, 18, 19, 20, 21})
"""Board identity (0, 1), a second converter (7), console (14, 15), audio board."""

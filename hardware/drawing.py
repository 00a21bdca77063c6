"""The wiring page's pin table and drawings, made from the same pins as the program.

    python -m hardware.drawing

writes ``wiring.svg`` and the table of ``WIRING.md`` anew; a test compares them. The
drawing shows the 40-pin header as it lies on the board, pin 1 at the top left, and the
panel with the shape and place of each button and lamp: color alone means nothing.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path

from hardware import pins

BEGIN, END = "<!-- pins: made by hardware/drawing.py -->\n", "<!-- end of pins -->\n"

HEADER: tuple[int | str, ...] = (
    *("3.3 V", "5 V", 2, "5 V", 3, "ground", 4, 14, "ground", 15),
    *(17, 18, 27, "ground", 22, 23, "3.3 V", 24, 10, "ground"),
    *(9, 25, 11, 8, "ground", 7, 0, 1, 5, "ground"),
    *(6, 12, 13, "ground", 19, 16, 26, 20, "ground", 21),
)
"""The 40-pin header: GPIO number or supply by position (Raspberry Pi documentation)."""

WIRES = {
    pins.I2C_DATA: "fixed pull-up on the board; Pi 4 and Zero 2 W only",
    pins.I2C_CLOCK: "fixed pull-up on the board",
    pins.ONE_WIRE: "optional; one 4.7 k pull-up to 3.3 V for the chain (m)",
    pins.BUTTONS["confirm"]: "to ground through 1 k",
    pins.BUTTONS["say-again"]: "to ground through 1 k",
    pins.SPI_SELECT: "",
    pins.SPI_IN: "",
    pins.SPI_OUT: "",
    pins.SPI_CLOCK: "",
    pins.VIBRATION: "gate of a driver, 10 k to ground",
    pins.SOUNDER: "gate of a driver, 10 k to ground",
    pins.BUTTONS["stop"]: "to ground through 1 k, own 10 k pull-up to 3.3 V",
    pins.BUTTONS["talk"]: "to ground through 1 k, own 10 k pull-up to 3.3 V",
    pins.BACKUP_POWER: "from the hold-up supply, high on backup, 3.3 V logic",
    pins.LAMPS["listening"]: "driver, or a lamp of at most 8 mA through a resistor",
    pins.LAMPS["attention"]: "driver, or a lamp of at most 8 mA through a resistor",
    pins.IGNITION: "transistor side of an opto-isolator, 10 k to 3.3 V, 100 nF",
}
"""How each pin in use is wired; "(m)" is from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A part of the panel: where it sits [mm from its top left], and its looks."""

    name: str
    pin: int
    at: tuple[int, int]
    shape: str
    color: str
    means: str


PANEL = (
    Mark(
        name="LISTENING",
        pin=pins.LAMPS["listening"],
        at=(30, 20),
        shape="round",
        color="white",
        means="lit: speak now; slow: waiting for a job",
    ),
    Mark(
        name="ATTENTION",
        pin=pins.LAMPS["attention"],
        at=(110, 20),
        shape="triangle",
        color="red",
        means="lit: the valve is open; slow: close it; fast: alarm",
    ),
    Mark(
        name="STOP",
        pin=pins.BUTTONS["stop"],
        at=(70, 62),
        shape="octagon",
        color="red",
        means="close the valve and stand still",
    ),
    Mark(
        name="CONFIRM",
        pin=pins.BUTTONS["confirm"],
        at=(22, 110),
        shape="round",
        color="green",
        means="yes, done, ready, open, closed",
    ),
    Mark(
        name="SAY AGAIN",
        pin=pins.BUTTONS["say-again"],
        at=(70, 110),
        shape="square",
        color="white",
        means="say it again",
    ),
    Mark(
        name="TALK",
        pin=pins.BUTTONS["talk"],
        at=(118, 110),
        shape="bar",
        color="white",
        means="be silent, I want to speak",
    ),
)
"""The panel. Red is danger or stop and green is normal, safe or go, as in IEC 60073
(from memory of it); white has no meaning of its own. Shape and place say the same."""


def place(pin: int) -> int:
    """Give the position of a GPIO on the header, from 1."""
    return HEADER.index(pin) + 1


def table() -> str:
    """Give the pin table as Markdown."""
    rows = ["| header pin | GPIO | use | wiring |", "| --- | --- | --- | --- |"]
    rows += [
        f"| {place(pin)} | {pin} | {use} | {WIRES[pin]} |".replace("|  |", "| |")
        for pin, use in pins.USES.items()
    ]
    return "\n".join(rows) + "\n"


def panel_table() -> str:
    """Give what each part of the panel is and means, as Markdown."""
    rows = [
        "| part | GPIO | shape | color | means |",
        "| --- | --- | --- | --- | --- |",
    ]
    rows += [
        f"| {m.name} | {m.pin} | {m.shape} | {m.color} | {m.means} |" for m in PANEL
    ]
    return "\n".join(rows) + "\n"


def svg() -> str:
    """Give the header and the panel as one SVG drawing."""
    parts = [
        _OPEN,
        '<rect width="900" height="620" fill="white"/>',
        '<text x="20" y="24" font-size="16">40-pin header, seen from above</text>',
        *_header(),
        '<text x="520" y="24" font-size="16">Panel, 140 x 140 mm</text>',
        *_panel(),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


_OPEN = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 620" '
    'font-family="sans-serif" font-size="12">'
)


def _header() -> Iterator[str]:
    for index, what in enumerate(HEADER):
        row, right = divmod(index, 2)
        y = 52 + 28 * row
        x = 250 if right else 220
        used = isinstance(what, int) and what in pins.USES
        fill = "#222" if used else "#ddd"
        yield f'<circle cx="{x}" cy="{y}" r="9" fill="{fill}" stroke="black"/>'
        ink = "white" if used else "black"
        yield (
            f'<text x="{x}" y="{y + 4}" text-anchor="middle" font-size="9" '
            f'fill="{ink}">{index + 1}</text>'
        )
        anchor = "start" if right else "end"
        text_x = x + 15 if right else x - 15
        yield (
            f'<text x="{text_x}" y="{y + 4}" text-anchor="{anchor}">'
            f"{escape(_named(what))}</text>"
        )


def _named(what: int | str) -> str:
    if isinstance(what, str):
        return what
    use = pins.USES.get(what)
    return f"GPIO {what} {use}" if use else f"GPIO {what} (free)"


def _panel() -> Iterator[str]:
    left, top, scale = 520, 50, 2.4
    side = 140 * scale
    yield (
        f'<rect x="{left}" y="{top}" width="{side:g}" height="{side:g}" rx="16" '
        'fill="#f4f4f4" stroke="black"/>'
    )
    for mark in PANEL:
        x, y = left + mark.at[0] * scale, top + mark.at[1] * scale
        yield _shape(mark, x, y)
        yield (
            f'<text x="{x:g}" y="{y + 50:g}" text-anchor="middle" '
            f'font-weight="bold">{mark.name}</text>'
        )
        yield (
            f'<text x="{x:g}" y="{y + 64:g}" text-anchor="middle" font-size="10">'
            f"GPIO {mark.pin}</text>"
        )
    for line, mark in enumerate(PANEL):
        yield (
            f'<text x="{left}" y="{top + side + 40 + 20 * line:g}">{mark.name}: '
            f"{escape(mark.means)}</text>"
        )


def _shape(mark: Mark, x: float, y: float) -> str:
    fill = {"red": "#c00", "green": "#080", "white": "#fff"}[mark.color]
    style = f'fill="{fill}" stroke="black" stroke-width="2"'
    corners: tuple[tuple[int, int], ...]
    match mark.shape:
        case "round":
            return f'<circle cx="{x:g}" cy="{y:g}" r="26" {style}/>'
        case "triangle":
            corners = ((0, -28), (28, 24), (-28, 24))
        case "octagon":
            corners = (
                *((-13, -32), (13, -32), (32, -13), (32, 13)),
                *((13, 32), (-13, 32), (-32, 13), (-32, -13)),
            )
        case "square":
            corners = ((-24, -24), (24, -24), (24, 24), (-24, 24))
        case _:
            corners = ((-32, -14), (32, -14), (32, 14), (-32, 14))
    points = " ".join(f"{x + dx:g},{y + dy:g}" for dx, dy in corners)
    return f'<polygon points="{points}" {style}/>'


def page(text: str) -> str:
    """Give the wiring page with its table made anew."""
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}{table()}\n{panel_table()}{END}{after}"


def main() -> None:
    """Write the drawing and the page's table beside this file."""
    here = Path(__file__).parent
    (here / "wiring.svg").write_text(svg(), encoding="utf-8")
    wiring = here / "WIRING.md"
    wiring.write_text(page(wiring.read_text(encoding="utf-8")), encoding="utf-8")
    sys.stdout.write("wiring.svg and WIRING.md are written\n")


if __name__ == "__main__":
    main()

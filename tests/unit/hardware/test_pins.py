import re
from importlib.resources import files

from gpiozero.pins.mock import MockFactory

from hardware import drawing, pins

ROW = re.compile(r"^\| (\d+) \| (\d+) \| ([^|]+) \|", re.MULTILINE)
ROWS = ROW.findall((files("hardware") / "WIRING.md").read_text(encoding="utf-8"))


def test_no_pin_has_two_uses() -> None:
    named = [
        value
        for name, value in vars(pins).items()
        if name.isupper() and isinstance(value, int)
    ]
    used = [*named, *pins.BUTTONS.values(), *pins.LAMPS.values()]
    assert sorted(used) == sorted(pins.USES)
    assert len(set(used)) == len(used)
    assert not set(used) & pins.KEPT_FREE


def test_the_wiring_page_has_the_same_table() -> None:
    assert {int(pin): use.strip() for _, pin, use in ROWS} == dict(pins.USES)


def test_the_wiring_page_names_the_right_place_on_the_header() -> None:
    board = MockFactory(revision="b03115").board_info  # a Raspberry Pi 4
    for place, pin, _ in ROWS:
        found = [
            info.number
            for header, info in board.find_pin(f"GPIO{pin}")
            if header.name == "J8"
        ]
        assert found == [int(place)]
    assert len(ROWS) == len(pins.USES)


def test_buttons_confirm_and_say_again_are_pulled_up_at_reset() -> None:
    assert pins.BUTTONS["confirm"] <= 8
    assert pins.BUTTONS["say-again"] <= 8


def test_drivers_are_pulled_down_at_reset_and_can_be_pulsed() -> None:
    assert {pins.VIBRATION, pins.SOUNDER} <= {12, 13, 18, 19}
    assert all(pin >= 9 for pin in pins.LAMPS.values())


def test_the_drawing_and_the_page_are_made_from_these_pins() -> None:
    page = (files("hardware") / "WIRING.md").read_text(encoding="utf-8")
    kept = (files("hardware") / "wiring.svg").read_text(encoding="utf-8")
    cure = "run python -m hardware.drawing"
    assert drawing.page(page) == page, cure
    assert drawing.svg() == kept, cure


def test_every_pin_in_use_is_in_the_drawing_once() -> None:
    shown = [f">GPIO {pin} {use}<" for pin, use in pins.USES.items()]
    assert [drawing.svg().count(one) for one in shown] == [1] * len(shown)
    assert set(drawing.WIRES) == set(pins.USES)


def test_no_two_parts_of_the_panel_look_alike_without_color() -> None:
    lamps = [m for m in drawing.PANEL if m.pin in pins.LAMPS.values()]
    buttons = [m for m in drawing.PANEL if m.pin in pins.BUTTONS.values()]
    assert len({m.shape for m in lamps}) == len(lamps) == len(pins.LAMPS)
    assert len({m.shape for m in buttons}) == len(buttons) == len(pins.BUTTONS)
    assert len({m.at for m in drawing.PANEL}) == len(drawing.PANEL)


def test_gloved_fingers_hit_one_button() -> None:
    spots = [m.at for m in drawing.PANEL if m.pin in pins.BUTTONS.values()]
    for number, (x, y) in enumerate(spots):
        for ox, oy in spots[:number]:
            assert ((x - ox) ** 2 + (y - oy) ** 2) ** 0.5 >= 22 + 25

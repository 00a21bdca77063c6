import re
from importlib.resources import files

from gpiozero.pins.mock import MockFactory

from hardware import pins

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

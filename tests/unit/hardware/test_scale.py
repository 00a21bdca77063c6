import importlib.util
import os
import threading
from collections import deque

import pytest

from hardware.ports import Fault, HardwareError, Reading
from hardware.scale import ScaleSetting, SerialScale, open_line, read_line

OURS = ScaleSetting(name="cylinder-weight")


@pytest.mark.parametrize(
    ("text", "kg", "at_rest"),
    [
        ("S 12.345 kg\r\n", 12.345, True),
        ("U 12.350 kg", 12.35, False),
        ("S -0.5 lb", -0.226796185, True),
        ("S+ 16 oz", 0.45359237, True),
        ("S 900 g", 0.9, True),
    ],
)
def test_a_line_is_a_weight_and_whether_it_rests(
    text: str, kg: float, at_rest: bool
) -> None:
    found = read_line(text, OURS)
    assert found is not None
    assert found.value == pytest.approx(kg)
    assert found.stable is at_rest


@pytest.mark.parametrize("text", ["", "OVERLOAD", "S kg", "12.3", "S 12.3 stone"])
def test_anything_else_is_no_weight(text: str) -> None:
    assert read_line(text, OURS) is None


def test_another_scales_form_is_a_setting() -> None:
    form = ScaleSetting(
        name="w",
        pattern=r"(?P<value>\d+\.\d+)(?P<unit>lb) (?P<rest>\w+)",
        at_rest="OK",
    )
    found = read_line("10.00lb MO", form)
    assert found is not None
    assert not found.stable


class FakeLine:
    """Gives lines; an exception among them is raised."""

    def __init__(self, *lines: bytes | Exception) -> None:
        self.lines = deque(lines)
        self.done = threading.Event()

    def readline(self, size: int = -1, /) -> bytes:  # noqa: ARG002
        if not self.lines:
            self.done.set()
            threading.Event().wait(0.01)
            return b""
        line = self.lines.popleft()
        if isinstance(line, Exception):
            raise line
        return line

    def close(self) -> None:
        pass


def test_the_last_weight_counts_until_it_is_stale() -> None:
    now = [0.0]
    line = FakeLine(b"S 9.000 kg\n", b"U 8.990 kg\n")
    scale = SerialScale(OURS, lambda: now[0], lambda _: line)
    assert line.done.wait(5)
    found = scale.read()
    assert isinstance(found, Reading)
    assert (found.value, found.stable) == (8.99, False)
    now[0] = 2.5
    stale = scale.read()
    assert isinstance(stale, Fault)
    assert stale.name == "gone"
    scale.close()


def test_a_line_of_another_form_is_told() -> None:
    line = FakeLine(b"ERR 3\n")
    scale = SerialScale(OURS, lambda: 0.0, lambda _: line)
    assert line.done.wait(5)
    found = scale.read()
    assert isinstance(found, Fault)
    assert "ERR 3" in found.message
    scale.close()


def test_a_scale_that_is_plugged_in_again_is_opened_again() -> None:
    lost = FakeLine(b"S 9.000 kg\n", OSError("pulled out"))
    again = FakeLine(b"S 7.000 kg\n")
    lines = deque([lost, again])
    scale = SerialScale(OURS, lambda: 0.0, lambda _: lines.popleft())
    assert again.done.wait(5)
    found = scale.read()
    assert isinstance(found, Reading)
    assert found.value == 7.0
    scale.close()


@pytest.mark.skipif(
    importlib.util.find_spec("serial") is None, reason="pyserial is not installed"
)
def test_a_real_serial_line_through_a_pair_of_terminals() -> None:
    ours, theirs = os.openpty()
    port = os.ttyname(theirs)
    line = open_line(ScaleSetting(name="w", port=port))
    os.write(ours, b"S 4.200 kg\r\n")
    found = read_line(line.readline(100).decode(), OURS)
    line.close()
    os.close(ours)
    os.close(theirs)
    assert found is not None
    assert found.value == 4.2


@pytest.mark.skipif(
    importlib.util.find_spec("serial") is None, reason="pyserial is not installed"
)
def test_a_scale_that_is_not_there_is_one_sentence_with_the_cure() -> None:
    with pytest.raises(HardwareError, match="plug it in"):
        open_line(ScaleSetting(name="w", port="/dev/no-such-scale"))

from collections.abc import Iterator

import pytest
from gpiozero.pins.mock import MockPin

from hardware import pins
from hardware.panel import SOUNDER_HZ, GpioPanel
from hardware.ports import Button, Lamp, Panel, Pressed
from hardware.simulated import SimulatedPins


class Bench:
    """A panel on simulated pins, what it reported, and fingers to press with."""

    def __init__(self) -> None:
        self.factory = SimulatedPins()
        self.events: list[Pressed] = []
        self.panel = GpioPanel(self.factory, self.events.append)

    def press(self, button: Button) -> None:
        self.factory.pin(pins.BUTTONS[button]).drive_low()

    def release(self, button: Button) -> None:
        self.factory.pin(pins.BUTTONS[button]).drive_high()

    def lit(self, lamp: Lamp) -> bool:
        return bool(self.factory.pin(pins.LAMPS[lamp]).state)

    def sounding(self) -> tuple[float, float]:
        pin = self.factory.pin
        return pin(pins.SOUNDER).state, pin(pins.VIBRATION).state

    def seen(self) -> list[tuple[str, str]]:
        return [(event.button, event.at_press) for event in self.events]


@pytest.fixture
def bench() -> Iterator[Bench]:
    bench = Bench()
    yield bench
    bench.panel.close()
    bench.factory.close()


@pytest.mark.parametrize("button", pins.BUTTONS)
def test_a_short_press(bench: Bench, button: Button) -> None:
    bench.press(button)
    bench.panel.tick(10.0)
    bench.panel.tick(10.9)
    bench.release(button)
    assert bench.panel.tick(12.0) is None
    assert bench.seen() == [(button, "down"), (button, "up")]


def test_a_press_is_held_a_second_after_the_first_tick_that_sees_it(
    bench: Bench,
) -> None:
    bench.press("talk")
    assert bench.panel.tick(10.0) == 11.0
    assert bench.panel.tick(10.5) == 11.0
    assert bench.panel.tick(11.0) == 12.0
    bench.release("talk")
    assert bench.panel.tick(15.0) is None
    assert bench.seen() == [("talk", "down"), ("talk", "held"), ("talk", "up")]


def test_a_button_that_stays_down_repeats_by_the_callers_time(bench: Bench) -> None:
    bench.press("say-again")
    for now in (0.0, 1.0, 1.5, 2.0, 3.0):
        bench.panel.tick(now)
    bench.release("say-again")
    bench.press("say-again")
    bench.panel.tick(4.0)
    bench.panel.tick(5.0)
    assert [kind for _, kind in bench.seen()] == [
        "down",
        "held",
        "repeat",
        "repeat",
        "up",
        "down",
        "held",
    ]


def test_two_buttons_at_once_are_held_each_by_its_own_time(bench: Bench) -> None:
    bench.press("stop")
    bench.panel.tick(0.0)
    bench.press("confirm")
    assert bench.panel.tick(0.4) == 1.0
    bench.release("stop")
    assert bench.panel.tick(0.9) == pytest.approx(1.4)
    bench.panel.tick(1.4)
    assert bench.seen()[2:] == [("stop", "up"), ("confirm", "held")]


def test_a_lamp_shows_at_once_and_blinks_by_the_callers_time(bench: Bench) -> None:
    bench.panel.show("attention", "fast")
    assert bench.lit("attention")
    shown = []
    for _ in range(4):
        shown.append(bench.lit("attention"))
        bench.panel.tick(100.0 + 0.25 * len(shown))
    assert bench.panel.tick(101.0) == pytest.approx(101.25)
    assert shown == [True, True, False, True]
    assert not bench.lit("listening")
    bench.panel.show("attention", "off")
    assert not bench.lit("attention")
    assert bench.panel.tick(101.1) is None


def test_asking_again_for_a_blinking_lamp_does_not_restart_it(bench: Bench) -> None:
    bench.panel.show("listening", "slow")
    bench.panel.tick(0.0)
    bench.panel.show("listening", "slow")
    bench.panel.tick(1.0)
    assert not bench.lit("listening")


def test_sounder_and_vibration_go_together(bench: Bench) -> None:
    bench.panel.sound("danger")
    assert bench.sounding() == (0.5, 1.0)
    assert bench.factory.pin(pins.SOUNDER).frequency == SOUNDER_HZ
    assert bench.panel.tick(0.0) == 0.3
    bench.panel.tick(0.3)
    assert bench.sounding() == (0, 0)
    bench.panel.tick(1.5)
    assert bench.sounding() == (0.5, 1.0)
    bench.panel.sound("silent")
    assert bench.sounding() == (0, 0)


def test_a_single_sound_can_be_asked_for_twice(bench: Bench) -> None:
    for start in (0.0, 5.0):
        bench.panel.sound("information")
        assert bench.sounding() == (0.5, 1.0)
        assert bench.panel.tick(start) == pytest.approx(start + 0.15)
        assert bench.panel.tick(start + 0.15) is None
        assert bench.sounding() == (0, 0)


class StuckPin(MockPin):  # type: ignore[misc]  # the library has no types
    """A pin that a jammed button holds low against any pull."""

    def _set_pull(self, value: str) -> None:
        self._pull = value


def test_a_button_that_is_down_from_the_start_is_named_and_silent() -> None:
    factory = SimulatedPins()
    jammed = factory.pin(pins.BUTTONS["confirm"], pin_class=StuckPin)
    events: list[Pressed] = []
    panel = GpioPanel(factory, events.append)
    panel.tick(0.0)
    panel.tick(9.0)
    assert panel.stuck == ("confirm",)
    assert events == []
    jammed.drive_high()
    assert events == [Pressed(button="confirm", at_press="up")]
    panel.close()
    factory.close()


def test_closing_switches_everything_off_and_frees_the_pins(bench: Bench) -> None:
    bench.panel.show("attention", "lit")
    bench.panel.sound("danger")
    bench.panel.close()
    bench.panel.close()
    again: Panel = GpioPanel(bench.factory, bench.events.append)
    assert not bench.lit("attention")
    assert bench.sounding() == (0, 0)
    again.close()


def test_a_panel_that_cannot_open_lets_go_of_what_it_took(bench: Bench) -> None:
    bench.panel.close()
    blocker = GpioPanel(bench.factory, bench.events.append)
    with pytest.raises(Exception, match="already in use"):
        GpioPanel(bench.factory, bench.events.append)
    blocker.close()
    GpioPanel(bench.factory, bench.events.append).close()


def pulses(bench: Bench, seconds: float) -> int:
    """Count how often the motor goes on."""
    was, times = False, 0
    for tick in range(round(seconds * 100)):
        bench.panel.tick(tick / 100)
        on = bool(bench.sounding()[1])
        times += on and not was
        was = on
    return times


def test_a_vibration_leaves_the_sounder_silent(bench: Bench) -> None:
    bench.panel.feel("again")
    assert bench.sounding() == (0, 1)
    assert pulses(bench, 2) == 3


@pytest.mark.parametrize(("digit", "times"), [(0, 1), (1, 1), (4, 4), (9, 9)])
def test_a_digit_is_counted(bench: Bench, digit: int, times: int) -> None:
    bench.panel.count(digit)
    assert pulses(bench, 4) == times


def test_no_digit_is_refused(bench: Bench) -> None:
    with pytest.raises(ValueError, match="10 is no digit"):
        bench.panel.count(10)


def test_a_danger_that_repeats_is_not_disturbed(bench: Bench) -> None:
    bench.panel.sound("danger")
    bench.panel.feel("taken")
    assert pulses(bench, 3) == 6

"""Lamps and vibration of a panel on simulated pins, cue by cue."""

from collections.abc import Iterator

import pytest

from companion.job.cues import CUES
from companion.job.outputs import Light, Say
from companion.shell.signalling import Signalling
from hardware import pins
from hardware.panel import GpioPanel
from hardware.simulated import SimulatedPins


class Box:
    """A panel, and what its lamps, sounder and motor do over some seconds."""

    def __init__(self) -> None:
        self.factory = SimulatedPins()
        self.panel = GpioPanel(self.factory, lambda _: None)
        self.signalling = Signalling(self.panel)
        self.now = 0.0

    def cue(self, cue: str, **values: object) -> None:
        filled = dict.fromkeys(CUES[cue], "x") | values
        self.signalling.cue(Say(cue=cue, values=filled))

    def watch(self, seconds: float) -> dict[str, int]:
        """Give how often each went on, and count what is on throughout as one."""
        places = {"attention": pins.LAMPS["attention"], "motor": pins.VIBRATION}
        places |= {"listening": pins.LAMPS["listening"], "sounder": pins.SOUNDER}
        was = dict.fromkeys(places, False)
        times = dict.fromkeys(places, 0)
        for tick in range(round(seconds * 100)):
            self.panel.tick(self.now + tick / 100)
            for name, pin in places.items():
                on = bool(self.factory.pin(pin).state)
                times[name] += on and not was[name]
                was[name] = on
        self.now += seconds
        return times


@pytest.fixture
def box() -> Iterator[Box]:
    made = Box()
    yield made
    made.panel.close()
    made.factory.close()


URGENT = [cue for cue in CUES if cue.startswith("close-") or cue == "silence-alarm"]


@pytest.mark.parametrize("cue", URGENT)
def test_every_urgent_cue_flashes_and_shakes_until_it_is_answered(
    box: Box, cue: str
) -> None:
    box.cue(cue)
    seen = box.watch(6)
    assert seen["attention"] >= 10
    assert seen["motor"] >= 9
    assert seen["sounder"] >= 9
    box.cue("closed-heard" if cue.startswith("close") else "ask")
    seen = box.watch(6)
    assert (seen["attention"], seen["sounder"]) == (0, 0)
    assert seen["motor"] == 1


@pytest.mark.parametrize("cue", ["ask", "noted"])
def test_a_question_and_its_answer_are_felt_once(box: Box, cue: str) -> None:
    box.cue(cue)
    assert box.watch(2) == {"attention": 0, "motor": 1, "listening": 0, "sounder": 0}


def test_an_answered_alarm_is_calm(box: Box) -> None:
    box.signalling.calm()
    box.cue("silence-alarm")
    box.signalling.calm()
    seen = box.watch(3)
    assert (seen["motor"], seen["sounder"], seen["attention"]) == (0, 0, 0)


def test_what_is_not_taken_is_felt_as_three_ticks(box: Box) -> None:
    box.cue("unclear")
    assert box.watch(2)["motor"] == 3


@pytest.mark.parametrize(("digit", "pulses"), [("0", 1), ("1", 1), ("7", 7), ("9", 9)])
def test_a_digit_is_felt_as_so_many_pulses(box: Box, digit: str, pulses: int) -> None:
    box.cue("dial-digit", digit=digit)
    assert box.watch(4)["motor"] == pulses


def test_a_caution_blinks_until_the_next_question(box: Box) -> None:
    box.cue("halted")
    assert box.watch(4)["attention"] == 2
    box.cue("ask")
    assert box.watch(4)["attention"] == 0


def test_an_open_valve_keeps_its_lamp_whatever_is_said(box: Box) -> None:
    box.signalling.light(Light(lamp="attention", pattern="steady"))
    for cue in ("open-now", "unclear", "ask", "device-lost", "status"):
        box.cue(cue)
        assert box.watch(3)["attention"] == 1


def test_no_vibration_takes_the_danger_away(box: Box) -> None:
    box.cue("close-asked")
    box.signalling.light(Light(lamp="attention", pattern="blink"))
    box.cue("status")
    box.cue("heard")
    seen = box.watch(6)
    assert seen["motor"] >= 9
    assert seen["sounder"] >= 9
    assert seen["attention"] >= 2


def test_a_caution_on_top_of_a_danger_leaves_the_danger(box: Box) -> None:
    box.cue("close-device")
    box.cue("device-lost")
    seen = box.watch(6)
    assert seen["motor"] >= 9
    assert seen["sounder"] >= 9


def test_attention_off_ends_the_danger(box: Box) -> None:
    box.cue("close-asked")
    box.signalling.light(Light(lamp="attention", pattern="off"))
    seen = box.watch(3)
    assert (seen["motor"], seen["sounder"], seen["attention"]) == (0, 0, 0)

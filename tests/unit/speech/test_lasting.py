"""A microphone and a player that are unplugged and plugged in again."""

import threading
from collections import deque

import numpy as np
import pytest

from speech.microphone import LastingMicrophone
from speech.players import LastingPlayer
from speech.ports import DeviceError, Lost
from speech.sound import Sound

CHUNK = np.ones(800, np.int16)
SOUND = Sound(samples=CHUNK)


class Plug:
    """Opens microphones; a test pulls the one that is open."""

    def __init__(self) -> None:
        self.there = True
        self.opened = 0
        self.closed = 0
        self.fed = threading.Semaphore(0)

    def open(self, deliver, lost):
        if not self.there:
            raise DeviceError("no card")
        self.opened += 1
        self.lost = lost
        self.feed = deliver
        threading.Thread(target=lambda: (deliver(CHUNK), self.fed.release())).start()
        return self

    def close(self) -> None:
        self.closed += 1


def test_a_microphone_is_lost_once_and_found_when_sound_comes_again() -> None:
    plug = Plug()
    losses: list[Lost] = []
    found = threading.Event()
    chunks: list[int] = []
    ear = LastingMicrophone(
        plug.open, lambda s: chunks.append(len(s)), losses.append, found.set, 0.02
    )
    assert plug.fed.acquire(timeout=5)
    assert not found.is_set()
    plug.there = False
    plug.lost(Lost(device="microphone", reason="the plug is out"))
    assert not found.wait(0.1)
    plug.there = True
    assert found.wait(5)
    ear.close()
    assert [each.reason for each in losses] == ["the plug is out"]
    assert plug.opened == plug.closed == 2
    assert chunks == [800, 800]


def test_the_first_opening_may_fail_as_with_any_microphone() -> None:
    plug = Plug()
    plug.there = False
    with pytest.raises(DeviceError, match="no card"):
        LastingMicrophone(plug.open, len, print, lambda: None)


class Out:
    """A player whose card may be out."""

    def __init__(self) -> None:
        self.fails: deque[bool] = deque()
        self.played: list[int] = []

    def arm(self) -> None:
        pass

    def play(self, sound: Sound) -> None:
        if self.fails and self.fails.popleft():
            raise DeviceError("the card is out")
        self.played.append(len(sound.samples))

    def cut(self) -> None:
        pass

    def close(self) -> None:
        pass


def test_a_player_that_failed_is_tried_until_it_plays() -> None:
    out, found = Out(), threading.Event()
    player = LastingPlayer(lambda: out, found.set, 0.02)
    player.play(SOUND)
    out.fails.extend([True, True, True])
    with pytest.raises(DeviceError, match="the card is out"):
        player.play(SOUND)
    assert found.wait(5)
    player.close()
    assert out.played == [800, 800]


def test_a_cut_holds_until_armed() -> None:
    out = Out()
    player = LastingPlayer(lambda: out, lambda: None)
    player.cut()
    player.play(SOUND)
    assert out.played == []
    player.arm()
    player.play(SOUND)
    assert out.played == [800]
    player.close()

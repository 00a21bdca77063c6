import threading
from types import SimpleNamespace

import numpy as np
import pytest

from speech.ports import DeviceError, Speaker
from speech.pyttsx3_speaker import Pyttsx3Speaker
from speech.sound import Sound


class FakeVoice:
    """Gives a sound as long as the text, so that a player can tell them apart."""

    def __init__(self):
        self.closed = False

    def render(self, text):
        if text == "broken":
            raise DeviceError("the synthesiser died")
        return Sound(samples=np.zeros(len(text), dtype=np.int16))

    def close(self):
        self.closed = True


class FakePlayer:
    """Plays until let go or cut; obeys the sticky cut of the port."""

    def __init__(self):
        self.log = []
        self.holds = False
        self.started = threading.Event()
        self.go = threading.Event()
        self.is_cut = False

    def arm(self):
        self.is_cut = False

    def play(self, sound):
        if self.is_cut:
            return
        self.started.set()
        if self.holds:
            self.go.wait(20)
        self.log.append((len(sound.samples), self.is_cut))

    def cut(self):
        self.is_cut = True
        self.go.set()

    def close(self):
        self.cut()


@pytest.fixture
def stage():
    stage = SimpleNamespace(
        voice=FakeVoice(), player=FakePlayer(), changes=[], losses=[]
    )
    stage.speaker = Pyttsx3Speaker(
        stage.voice, stage.player, stage.changes.append, stage.losses.append
    )
    yield stage
    stage.speaker.close()
    assert stage.voice.closed


def test_sentences_come_in_order_and_talking_is_told_once(stage):
    speaker: Speaker = stage.speaker
    stage.player.holds = True
    speaker.say("one")
    speaker.say("three")
    assert speaker.talking
    stage.player.go.set()
    assert stage.speaker.settle(20)
    assert stage.player.log == [(3, False), (5, False)]
    speaker.close()
    assert stage.changes == [True, False]


def test_urgent_speech_cuts_off_and_drops_ordinary_speech(stage):
    stage.player.holds = True
    stage.speaker.say("a long ordinary sentence")
    assert stage.player.started.wait(20)
    stage.speaker.say("dropped")
    stage.speaker.say("close", urgent=True)
    assert stage.speaker.settle(20)
    assert stage.player.log == [(24, True), (5, False)]


def test_urgent_speech_does_not_cut_off_urgent_speech(stage):
    stage.player.holds = True
    stage.speaker.say("close", urgent=True)
    assert stage.player.started.wait(20)
    stage.speaker.say("close it", urgent=True)
    stage.player.go.set()
    assert stage.speaker.settle(20)
    assert stage.player.log == [(5, False), (8, False)]


def test_a_danger_tone_cuts_off_and_others_wait(stage):
    stage.player.holds = True
    stage.speaker.say("ordinary")
    assert stage.player.started.wait(20)
    stage.speaker.tone("caution")
    stage.speaker.tone("danger")
    assert stage.speaker.settle(20)
    assert [cut for _, cut in stage.player.log] == [True, False]


def test_what_cannot_be_said_is_reported_and_the_next_is_tried(stage):
    stage.speaker.say("broken")
    stage.speaker.say("fine")
    assert stage.speaker.settle(20)
    stage.speaker.close()
    (loss,) = stage.losses
    assert loss.device == "speaker"
    assert loss.reason == "'broken' could not be said: the synthesiser died"
    assert stage.player.log == [(4, False)]


def test_closing_in_the_middle_is_prompt_and_final(stage):
    stage.player.holds = True
    stage.speaker.say("a long ordinary sentence")
    assert stage.player.started.wait(20)
    stage.speaker.close()
    stage.speaker.say("too late")
    stage.speaker.close()
    assert not stage.speaker.talking
    assert stage.player.log == [(24, True)]


def test_hushing_ends_and_drops_ordinary_speech_only(stage):
    stage.player.holds = True
    stage.speaker.say("ordinary")
    assert stage.player.started.wait(20)
    stage.speaker.say("dropped")
    stage.speaker.hush()
    assert stage.speaker.settle(20)
    assert stage.player.log == [(8, True)]


def test_hushing_leaves_urgent_speech_alone(stage):
    stage.player.holds = True
    stage.speaker.say("close", urgent=True)
    assert stage.player.started.wait(20)
    stage.speaker.hush()
    stage.player.go.set()
    assert stage.speaker.settle(20)
    assert stage.player.log == [(5, False)]

import threading
from types import SimpleNamespace

import numpy as np
import pytest

from speech.ports import DeviceError, Found, Speaker
from speech.pyttsx3_speaker import Pyttsx3Speaker
from speech.sound import Sound
from speech.tones import tone_sound


class FakeVoice:
    """Gives a sound as long as the text, so that a player can tell them apart."""

    def __init__(self):
        self.closed = False
        self.made = {}
        self.asked = []
        self.works = True
        self.busy = threading.Event()
        self.go = threading.Event()

    def render(self, text):
        self.asked.append(text)
        if text == "slow":
            self.busy.set()
            self.go.wait(20)
        if text == "broken" and not (self.works and len(self.asked) > 2):
            raise DeviceError("the synthesiser died")
        return sound_of(text)

    def at_hand(self, text):
        return self.made.get(text)

    def close(self):
        self.closed = True
        self.go.set()


def sound_of(text):
    return Sound(samples=np.zeros(len(text), dtype=np.int16))


class FakePlayer:
    """Plays until let go or cut; obeys the sticky cut of the port."""

    def __init__(self):
        self.log = []
        self.holds = False
        self.started = threading.Event()
        self.go = threading.Event()
        self.is_cut = False
        self.broken = False

    def arm(self):
        self.is_cut = False

    def play(self, sound):
        if self.is_cut:
            return
        if self.broken:
            raise DeviceError("unplugged")
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
        voice=FakeVoice(), player=FakePlayer(), changes=[], losses=[], finds=[]
    )
    stage.back = threading.Event()

    def found(device):
        stage.finds.append(device)
        stage.back.set()

    stage.speaker = Pyttsx3Speaker(
        stage.voice,
        stage.player,
        stage.changes.append,
        stage.losses.append,
        found,
        0.05,
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


def test_an_echo_takes_the_place_of_the_one_before_but_never_of_urgent_speech(stage):
    stage.player.holds = True
    stage.speaker.say("one")
    assert stage.player.started.wait(20)
    stage.speaker.say("three")
    stage.speaker.say("fives", instead=True)
    assert stage.speaker.settle(20)
    assert stage.player.log == [(3, True), (5, False)]
    stage.player.go.clear()
    stage.player.started.clear()
    stage.speaker.say("close it", urgent=True)
    assert stage.player.started.wait(20)
    stage.speaker.say("seven77", instead=True)
    stage.player.go.set()
    assert stage.speaker.settle(20)
    assert stage.player.log[2:] == [(8, False), (7, False)]


def test_a_danger_tone_cuts_off_and_others_wait(stage):
    stage.player.holds = True
    stage.speaker.say("ordinary")
    assert stage.player.started.wait(20)
    stage.speaker.tone("caution")
    stage.speaker.tone("danger")
    assert stage.speaker.settle(20)
    assert [cut for _, cut in stage.player.log] == [True, False]


CAUTION, DANGER = (len(tone_sound(each).samples) for each in ("caution", "danger"))
INFORMATION = len(tone_sound("information").samples)


def test_what_cannot_be_said_is_tried_again_then_a_tone_stands_for_it(stage):
    stage.voice.works = False
    stage.speaker.say("broken")
    stage.speaker.say("fine")
    assert stage.speaker.settle(20)
    (loss,) = stage.losses
    assert loss.device == "speaker"
    assert loss.reason == "'broken' could not be said: the synthesiser died"
    assert stage.voice.asked[:2] == ["broken", "broken"]
    assert stage.player.log == [(CAUTION, False), (4, False)]
    assert stage.finds == [Found(device="speaker")]


def test_an_urgent_sentence_that_cannot_be_made_leaves_the_danger_tone(stage):
    stage.voice.works = False
    stage.speaker.say("broken", urgent=True)
    assert stage.speaker.settle(20)
    assert stage.player.log == [(DANGER, False)]
    assert len(stage.losses) == 1


def test_an_urgent_sentence_at_hand_does_not_wait_for_one_that_is_being_made(stage):
    stage.voice.made["close"] = sound_of("close")
    stage.speaker.say("slow")
    assert stage.voice.busy.wait(20)
    stage.speaker.say("close", urgent=True)
    assert stage.speaker.settle(20)
    assert stage.player.log == [(5, False)]
    assert not stage.voice.go.is_set()


def test_an_urgent_sentence_that_is_late_is_announced_by_the_danger_tone(stage):
    stage.speaker.say("slow")
    assert stage.voice.busy.wait(20)
    stage.speaker.say("close it", urgent=True)
    assert stage.player.started.wait(20)
    stage.voice.go.set()
    assert stage.speaker.settle(20)
    assert stage.player.log == [(DANGER, False), (8, False)]


def test_a_voice_or_device_that_is_back_is_told_by_a_trial(stage):
    stage.player.broken = True
    stage.speaker.say("one")
    assert stage.speaker.settle(20)
    stage.player.broken = False
    assert stage.back.wait(20)
    assert stage.speaker.settle(20)
    assert stage.finds == [Found(device="speaker")]
    assert len(stage.losses) == 1
    assert stage.player.log == [
        (INFORMATION, False)
    ]  # what was not said is not said late


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

import sys
import threading

import numpy as np
import pytest

from speech.microphone import CHUNK, PipeMicrophone, open_microphone
from speech.ports import DeviceError


class Ears:
    def __init__(self):
        self.chunks = []
        self.losses = []
        self.heard = threading.Event()
        self.lost = threading.Event()

    def deliver(self, samples):
        self.chunks.append(samples)
        self.heard.set()

    def lose(self, loss):
        self.losses.append(loss)
        self.lost.set()


def program(text):
    return (sys.executable, "-c", f"import os, sys, threading; {text}")


def test_sound_comes_in_chunks_and_an_unplugged_device_is_a_loss():
    ears = Ears()
    text = (
        f"sys.stdout.buffer.write(b'\\1\\0' * {2 * CHUNK + 3});"
        "sys.stdout.flush(); sys.exit('no such device')"
    )
    microphone = PipeMicrophone(program(text), ears.deliver, ears.lose)
    assert ears.lost.wait(20)
    microphone.close()
    samples = np.concatenate(ears.chunks)
    assert len(samples) == 2 * CHUNK + 3
    assert samples.dtype == np.int16
    assert set(samples.tolist()) == {1}
    assert ears.losses[0].device == "microphone"
    assert "no such device; check the headset's plug" in ears.losses[0].reason


def test_an_end_without_a_word_names_the_exit_code():
    ears = Ears()
    microphone = PipeMicrophone(program("os._exit(5)"), ears.deliver, ears.lose)
    assert ears.lost.wait(20)
    microphone.close()
    assert "it ended (exit code 5)" in ears.losses[0].reason


def test_closing_is_prompt_and_no_loss():
    ears = Ears()
    text = (
        f"sys.stdout.buffer.write(bytes({2 * CHUNK}));"
        "sys.stdout.flush(); threading.Event().wait(60)"
    )
    microphone = PipeMicrophone(program(text), ears.deliver, ears.lose)
    assert ears.heard.wait(20)
    microphone.close()
    microphone.close()
    assert ears.losses == []


def test_a_recorder_that_is_not_there():
    with pytest.raises(DeviceError, match="no-such-recorder: No such file"):
        PipeMicrophone(("no-such-recorder",), print, print)


def test_without_any_way_to_record_the_cure_is_named(monkeypatch):
    monkeypatch.setenv("PATH", "")
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(DeviceError, match="sudo apt install alsa-utils") as problem:
        open_microphone("", print, print)
    assert "\n" not in str(problem.value)


def test_arecord_is_taken_where_there_is_one(tmp_path, monkeypatch):
    recorder = tmp_path / "arecord"
    recorder.write_text('#!/bin/sh\necho "$@" >&2\n')
    recorder.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    ears = Ears()
    microphone = open_microphone("plughw:CARD=Headset", ears.deliver, ears.lose)
    assert ears.lost.wait(20)
    microphone.close()
    expected = "-q -D plughw:CARD=Headset -f S16_LE -c 1 -r 16000 -t raw"
    assert expected in ears.losses[0].reason

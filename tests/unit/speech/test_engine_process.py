import os
import signal
import threading

import numpy as np
import pytest

from speech.decoding import EngineChoice
from speech.engine_process import EngineProcess
from speech.ports import DeviceError, Heard, Lost
from speech.segmenter import Segment
from speech.sound import RATE
from speech.vocabulary import Vocabulary
from speech.voice import Voice

ASKED = Vocabulary(controls=("yes", "again"))
GOOD = EngineChoice(engine="pocketsphinx")
BROKEN = EngineChoice(engine="vosk", model_folder="/no/such/model")
QUIET = np.zeros(RATE, np.int16)


@pytest.fixture(scope="module")
def said():
    voice = Voice()
    sound = voice.render("say again").at(RATE).samples // 4
    voice.close()
    noise = np.random.default_rng(1).normal(0, 40, (2, 3 * RATE)).astype(np.int16)
    samples = np.pad(sound, RATE // 5)
    samples = samples + noise[0, : len(samples)]
    return Segment(samples=samples, noise_before=noise[1], begin=1.0, end=2.0)


@pytest.fixture
def start():
    started = []

    def make(choice, ready=lambda: None):
        process = EngineProcess(choice, ready)
        started.append(process)
        return process

    yield make
    for process in started:
        process.close()
        process.close()
        assert process.process_id is None
    assert "recogniser" not in {thread.name for thread in threading.enumerate()}


def test_utterances_come_back_in_order_with_their_times(start, said):
    called = threading.Event()
    process = start(GOOD, called.set)
    quiet = Segment(samples=QUIET, noise_before=QUIET, begin=5.0, end=6.0)
    process.submit(said, ASKED)
    process.submit(quiet, ASKED)
    assert process.pending
    first, second = process.settle()
    assert isinstance(first, Heard)
    assert (first.words, first.begin, first.end) == ("say again", 1.0, 2.0)
    assert first.engine == "pocketsphinx"
    assert isinstance(second, Heard)
    assert second.words == ""
    assert called.is_set()
    assert not process.pending
    assert process.poll() == []


def test_unknown_words_are_asked_of_the_process(start):
    asked = Vocabulary(choices={"odd": ("zzyzx",)}, controls=("yes",))
    assert start(GOOD).unknown_words(asked) == ("zzyzx",)


def test_a_killed_process_is_reported_and_started_again(start, said):
    lost = threading.Event()
    process = start(GOOD, lost.set)
    revived = threading.Event()
    process.revived = revived.set
    process.unknown_words(ASKED)  # it is set up now
    os.kill(process.process_id, signal.SIGKILL)
    assert lost.wait(20)
    (loss,) = process.poll()
    assert isinstance(loss, Lost)
    assert loss.device == "listener"
    assert "died" in loss.reason
    assert "starting it again" in loss.reason
    assert revived.wait(60)
    process.submit(said, ASKED)
    (heard,) = process.settle()
    assert isinstance(heard, Heard)
    assert heard.words == "say again"


def test_an_engine_that_cannot_start_stays_down_and_says_why(start, said):
    losses = threading.Semaphore(0)
    process = start(BROKEN, losses.release)
    for _ in range(3):
        assert losses.acquire(timeout=20)
    assert process.process_id is None
    results = process.poll()
    assert all("/no/such/model: no such folder" in each.reason for each in results)
    assert "it stays down: restart the program" in results[-1].reason
    process.submit(said, ASKED)
    (loss,) = process.settle()
    assert isinstance(loss, Lost)
    assert "is down" in loss.reason
    with pytest.raises(DeviceError, match="is down"):
        process.unknown_words(ASKED)


def test_closing_is_prompt_and_final(start, said):
    process = start(GOOD)
    for _ in range(20):
        process.submit(said, ASKED)
    process.close()
    assert process.process_id is None
    with pytest.raises(DeviceError, match="is closed"):
        process.submit(said, ASKED)

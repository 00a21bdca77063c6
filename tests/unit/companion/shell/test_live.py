"""The loop on the real clock, driven through its devices' own ports."""

import io
import socket
import threading
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from companion.job.inputs import Begun
from companion.job.know import Know
from companion.job.outputs import Say, Tone
from companion.job.state import Closed, Closing, Job, Opening
from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.arrivals import Found, Inbox, Ready, Sensed, Written
from companion.shell.clock import SystemClock
from companion.shell.journal import FILE, Journal
from companion.shell.live import ANSWERING_S, Live, LiveStage
from companion.shell.loop import PATIENCE_S, Loop
from companion.shell.record import WriterRecord
from companion.shell.supervisor import Supervisor
from companion.shell.wording import Line, read_wording
from hardware import Fault, Lamp, Power, Pressed, Reading, open_board, pins
from speech import Heard, Lost, TypedListener, Vocabulary
from tests.conftest import SITES, Play

AIR = standard_atmosphere(Length(0))


def opening() -> Opening:
    """Give a valve that was called open."""
    return Opening(
        number=1,
        called_at=90,
        planned_s=20,
        limit_s=20,
        silence_s=20,
        base=None,
        ceiling=None,
        stop_weight=None,
        heard_at=90,
        last=None,
        peak=None,
    )


class Spoken:
    """A speaker that keeps what it is told to say."""

    def __init__(self) -> None:
        self.said: list[tuple[str, bool]] = []
        self.tones: list[str] = []
        self.order: list[str] = []
        self.talking = False
        self.on_tone: Callable[[], None] = lambda: None

    def say(self, text: str, *, urgent: bool = False, instead: bool = False) -> None:  # noqa: ARG002
        self.said.append((text, urgent))
        self.order.append(text)

    def tone(self, pattern: str, *, urgent: bool = False) -> None:  # noqa: ARG002
        self.tones.append(pattern)
        self.on_tone()
        self.order.append(f"[{pattern}]")

    def close(self) -> None:
        pass


class Scripted:
    """A listener that gives what the test put into it."""

    def __init__(self) -> None:
        self.results: deque[Heard | Lost] = deque()
        self.expected: list[Vocabulary] = []
        self.muted = False

    @property
    def pending(self) -> bool:
        return bool(self.results)

    def expect(self, vocabulary: Vocabulary) -> None:
        self.expected.append(vocabulary)

    def mute(self, muted: bool) -> None:
        self.muted = muted

    def poll(self) -> list[Heard | Lost]:
        found = list(self.results)
        self.results.clear()
        return found

    def close(self) -> None:
        pass


class Site:
    """A live loop on a folder, with scripted ear, kept voice and simulated board."""

    def __init__(self, know: Know, folder: Path, job: Job | None = None) -> None:
        self.inbox = Inbox()
        self.screen = io.StringIO()
        self.ear, self.voice = Scripted(), Spoken()
        self.board = open_board("simulated")
        panel = self.board.panel(self.inbox.put)
        wording = read_wording("us")
        self.stage = LiveStage(
            screen=self.screen,
            speaker=self.voice,
            panel=panel,
            listeners=(self.ear,),
            wording=wording,
            know=know,
        )
        clock = SystemClock()
        self.record = WriterRecord(
            Journal(folder / FILE, clock), lambda: self.inbox.put(Written())
        )
        self.loop = Loop(
            know=know, wording=wording, record=self.record, stage=self.stage, job=job
        )
        self.live = Live(
            loop=self.loop,
            clock=clock,
            stage=self.stage,
            listeners=(self.ear,),
            speaker=self.voice,
            panel=panel,
            inbox=self.inbox,
            sensed=("suction-pressure",),
            hush=lambda: self.hushed.append(True),
        )
        self.hushed: list[bool] = []
        self.panel = panel

    def begin(self) -> None:
        if not self.loop.job.started:
            self.loop.step(Begun(at=0.0, job="job-1", ambient=AIR))

    def lamp(self, name: Lamp) -> bool:
        return bool(self.board.factory.pin(pins.LAMPS[name]).state)

    def sounding(self) -> bool:
        return bool(self.board.factory.pin(pins.SOUNDER).state)

    def hear(self, words: str, *, sure: bool = True) -> None:
        self.ear.results.append(
            Heard(words=words, confidence=1, sure=sure, engine="vosk", begin=0, end=0)
        )
        self.inbox.put(Ready())

    def close(self) -> None:
        self.live._sentinel.close()
        self.record.close()
        self.board.close()


def test_typed_lines_reach_the_job_and_end_it_politely(
    know: Know, tmp_path: Path
) -> None:
    inbox = Inbox()
    screen = io.StringIO()
    keyboard = TypedListener(
        io.StringIO("four ten alpha\nyes\nstatus\n"), lambda: inbox.put(Ready())
    )
    wording, clock = read_wording("us"), SystemClock()
    stage = LiveStage(
        screen=screen,
        speaker=None,
        panel=None,
        listeners=(keyboard,),
        wording=wording,
        know=know,
    )
    journal = Journal(tmp_path / FILE, clock)
    record = WriterRecord(journal, lambda: inbox.put(Written()))
    loop = Loop(know=know, wording=wording, record=record, stage=stage)
    live = Live(
        loop=loop,
        clock=clock,
        stage=stage,
        listeners=(keyboard,),
        speaker=None,
        panel=None,
        inbox=inbox,
    )
    assert live.run("job-1", AIR) is False
    record.close()
    told = screen.getvalue()
    assert "Unit: R-410A. Affirmative or negative?" in told
    assert "Keyboard lost" in told
    kept = Journal(tmp_path / FILE, clock)
    job = kept.open_job()
    assert job is not None
    assert any(fact.kind == "answer-accepted" for fact in job.facts)
    kept.close()


def test_a_button_and_the_lamp_work_through_the_board(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    site.inbox.put(Pressed(button="stop", at_press="down"))

    site.loop.step(Begun(at=0.0, job="job-1", ambient=AIR))
    for _ in range(6):
        site.live._round()
        if site.loop.job.halted is not None:
            break
    assert site.loop.job.halted == "asked"
    assert isinstance(site.loop.job.valve, Closed)
    site.close()


def test_a_lost_microphone_is_said_and_its_listener_dropped(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    site.loop.step(Begun(at=0.0, job="job-1", ambient=AIR))
    site.inbox.put(Lost(device="microphone", reason="the plug is out"))
    site.live._round()
    assert "microphone" in site.loop.job.missing
    assert any("Microphone lost" in text for text, urgent in site.voice.said if urgent)
    site.close()


def test_the_ear_is_closed_while_the_companion_talks(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    site.voice.talking = True
    site.inbox.put(Ready())
    site.live._round()
    assert site.ear.muted
    site.close()


class Hands:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.time = 0.0

    def now(self) -> float:
        return self.time


def test_silence_counts_from_the_companions_last_word(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    clock = Hands()
    site.live._clock = clock
    site.live._start = 0.0
    site.loop.step(Begun(at=0.0, job="job-1", ambient=AIR))
    asked = site.loop.deadline
    assert asked is not None
    site.voice.talking = True
    clock.time = asked + 1
    site.live._listen()
    assert site.loop.due(site.live._talked_at) == asked + 1 + PATIENCE_S
    site.voice.talking = False
    clock.time = asked + 1 + PATIENCE_S
    site.inbox.put(Ready())
    site.live._round()
    assert site.loop.job.asked is not None
    assert site.loop.job.asked.silences == 1
    site.live._sentinel.close()
    site.close()


def test_the_sentinels_call_is_voice_lamp_and_tone(know: Know, tmp_path: Path) -> None:
    site = Site(know, tmp_path)
    site.stage.call()
    assert site.voice.said[-1][1]
    assert "Close the valve now" in site.voice.said[-1][0]
    assert site.voice.tones == ["danger"]
    site.close()


@pytest.fixture
def site(know: Know, tmp_path: Path) -> Iterator[Site]:
    site = Site(know, tmp_path)
    site.begin()
    yield site
    site.close()


def opened(know: Know) -> Job:
    """Give a job whose valve was just called open."""
    play = Play(know, read_wording("us")).begin()
    play.walk_to(SITES["liquid-pulses"], "ready#1")
    play.hear("i am ready")
    return play.job


@pytest.fixture
def open_site(know: Know, tmp_path: Path) -> Iterator[Site]:
    site = Site(know, tmp_path, opened(know))
    yield site
    site.close()


def said(site: Site) -> str:
    return "\n".join(text for text, _ in site.voice.said)


def test_stop_is_called_for_though_the_loop_hangs(open_site: Site) -> None:
    calling = threading.Event()
    open_site.voice.on_tone = calling.set
    # The loop is not run at all: it hangs. The press comes from the pin's own thread.
    pin = open_site.board.factory.pin(pins.BUTTONS["stop"])
    pin.drive_low()
    assert calling.wait(3)
    assert "Close the valve now" in said(open_site)
    assert open_site.voice.tones == ["danger"]
    assert open_site.lamp("attention")


def test_stop_is_obeyed_before_all_that_came_with_it(open_site: Site) -> None:
    open_site.inbox.put(Lost(device="microphone", reason="the plug is out"))
    open_site.inbox.put(Pressed(button="stop", at_press="down"))
    open_site.live._round()
    assert isinstance(open_site.loop.job.valve, Closing)
    assert open_site.loop.job.valve.reason == "asked"


def test_stop_works_while_the_companion_speaks_and_the_recogniser_is_dead(
    open_site: Site,
) -> None:
    open_site.voice.talking = True
    open_site.ear.results.append(Lost(device="listener", reason="it died"))
    open_site.inbox.put(Pressed(button="stop", at_press="down"))
    open_site.live._round()
    assert isinstance(open_site.loop.job.valve, Closing)
    assert "recogniser" in open_site.loop.job.missing
    assert open_site.voice.said[0] == ("Close. Close the valve now.", True)


def test_the_alarm_ends_with_the_word_closed(open_site: Site) -> None:
    open_site.inbox.put(Pressed(button="stop", at_press="down"))
    open_site.live._round()
    open_site.panel.tick(open_site.live._now())
    assert open_site.sounding()
    open_site.inbox.put(Pressed(button="confirm", at_press="down"))
    open_site.live._round()
    assert isinstance(open_site.loop.job.valve, Closed)
    assert not open_site.sounding()
    assert not open_site.lamp("attention")


def test_talk_hushes_ordinary_speech(site: Site) -> None:
    site.inbox.put(Pressed(button="talk", at_press="down"))
    site.live._round()
    assert site.hushed == [True]


def test_the_lamp_says_when_the_ear_is_open(site: Site) -> None:
    site.inbox.put(Ready())
    site.live._round()
    assert site.lamp("listening")
    site.voice.talking = True
    site.inbox.put(Ready())
    site.live._round()
    assert not site.lamp("listening")


def test_a_dead_recogniser_stays_and_is_told_when_it_is_back(site: Site) -> None:
    site.ear.results.append(Lost(device="listener", reason="it died"))
    site.inbox.put(Ready())
    site.live._round()
    assert "Speech recogniser lost: it died." in said(site)
    site.inbox.put(Found(device="recogniser"))
    site.hear("four ten alpha")
    site.live._round()
    assert not site.loop.job.missing
    assert site.loop.job.pending is not None


def test_a_live_pressure_at_its_limit_closes(open_site: Site) -> None:
    valve = open_site.loop.job.valve
    assert isinstance(valve, Opening)
    assert valve.ceiling is not None
    psi = valve.ceiling.si / 6894.757293168361 + 0.5
    reading = Reading(channel="suction-pressure", value=psi, unit="psig")
    open_site.inbox.put(Sensed(at=0.0, found=(reading,)))
    open_site.live._round()
    assert isinstance(open_site.loop.job.valve, Closing)
    assert open_site.voice.said[0][1]


def test_a_sensor_that_breaks_in_mid_pulse_closes_and_is_named(open_site: Site) -> None:
    fault = Fault(channel="suction-pressure", name="open", message="lead")
    open_site.inbox.put(Sensed(at=0.0, found=(fault,)))
    open_site.live._round()
    assert isinstance(open_site.loop.job.valve, Closing)
    assert "Suction sensor: its lead is broken or unplugged." in said(open_site)


def test_sensors_that_fall_silent_close(open_site: Site) -> None:
    reading = Reading(channel="suction-pressure", value=100.0, unit="psig")
    open_site.inbox.put(Sensed(at=0.0, found=(reading,)))
    open_site.live._round()
    assert isinstance(open_site.loop.job.valve, Opening)
    while isinstance(open_site.loop.job.valve, Opening):
        open_site.live._round()
    assert "Suction sensor: it does not answer." in said(open_site)


def test_backup_power_closes_says_goodbye_and_ends(know: Know, tmp_path: Path) -> None:
    site = Site(know, tmp_path, opened(know))
    site.inbox.put(Power(ignition=True, backup=True))
    site.inbox.put(Pressed(button="confirm", at_press="down"))
    assert site.live.run("job-1", AIR) is False
    assert site.live.supply_gone
    site.close()
    texts = [text for text, _ in site.voice.said]
    assert "Close the valve now" in texts[0]
    assert texts[-1].startswith("I am shutting down. Keep the valve closed.")
    journal = Journal(tmp_path / FILE, SystemClock())
    left = journal.open_job()
    assert left is not None
    kinds = [fact.kind for fact in left.facts]
    assert "close-called" in kinds
    assert "device-went-missing" in kinds
    journal.close()


def test_an_engine_that_is_off_is_said_and_nothing_ends(site: Site) -> None:
    site.inbox.put(Power(ignition=False, backup=False))
    site.live._round()
    assert "The engine is off" in said(site)
    assert not site.live._must_leave()


def test_the_service_manager_is_told_by_the_loop_itself(
    know: Know, tmp_path: Path
) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(str(tmp_path / "notify"))
        ear.settimeout(2)
        site = Site(know, tmp_path)
        given = {
            "NOTIFY_SOCKET": str(tmp_path / "notify"),
            "WATCHDOG_USEC": "200000",
        }
        site.live._alive = Supervisor(given)
        site.begin()
        site.inbox.put(Ready())
        site.live._round()
        assert ear.recv(100) == b"WATCHDOG=1"
        site.live._round()  # nothing comes: the loop wakes to feed it
        site.live._round()
        assert ear.recv(100) == b"WATCHDOG=1"
        site.close()


def test_the_tone_comes_before_the_close_call_and_once(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    cue = Say(cue="close-limit", urgent=True)
    site.stage.say(5.0, cue, site.loop.wording.line(cue))
    site.stage.tone(5.0, Tone(pattern="danger", urgent=True))
    site.stage.say(9.0, cue, site.loop.wording.line(cue))
    words = "Close. Close the valve now. Time is up."
    assert site.voice.order == ["[danger]", words, "[danger]", words]
    site.live._sentinel.close()
    site.close()


def test_a_sentence_left_out_has_a_tone_in_its_place(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    cue = Say(cue="noted")
    site.stage.say(5.0, cue, Line(text="Noted.", speech=""))
    assert site.voice.order == ["[information]"]
    assert site.screen.getvalue() == "Noted.\n"
    site.live._sentinel.close()
    site.close()


class Busy(Scripted):
    """A listener in the middle of an utterance."""

    @property
    def pending(self) -> bool:
        return True


def test_nothing_ordinary_is_said_over_an_answer_that_has_begun(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    site.loop.step(Begun(at=0.0, job="job-1", ambient=AIR))
    site.live._listeners = [Busy()]
    assert site.live._answering(100.0)
    assert site.live._answering(100.0 + ANSWERING_S - 0.1)
    assert not site.live._answering(100.0 + ANSWERING_S)
    site.live._listeners = [site.ear]
    assert not site.live._answering(200.0)
    site.live._sentinel.close()
    site.close()


def test_an_open_valve_is_never_kept_waiting_by_an_answer(
    know: Know, tmp_path: Path
) -> None:
    job = replace(Job(id="job-1"), valve=opening())
    site = Site(know, tmp_path, job=job)
    site.live._listeners = [Busy()]
    assert not site.live._answering(100.0)
    site.live._sentinel.close()
    site.close()


def test_a_speaker_that_is_back_lets_the_job_go_on(know: Know, tmp_path: Path) -> None:
    site = Site(know, tmp_path)
    site.loop.step(Begun(at=0.0, job="job-1", ambient=AIR))
    site.live._take(Lost(device="speaker", reason="unplugged"))
    assert "speaker" in site.loop.job.missing
    site.live._take(Found(device="speaker"))
    assert "speaker" not in site.loop.job.missing
    site.live._sentinel.close()
    site.close()

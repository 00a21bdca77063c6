"""The loop on the real clock, driven through its devices' own ports."""

import io
import queue
from collections import deque
from dataclasses import replace
from pathlib import Path

from companion.job.inputs import Begun
from companion.job.know import Know
from companion.job.outputs import Say, Tone
from companion.job.state import Closed, Job, Opening
from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.clock import SystemClock
from companion.shell.journal import FILE, Journal
from companion.shell.live import (
    ANSWERING_S,
    Arrival,
    Live,
    LiveStage,
    Ready,
    Written,
)
from companion.shell.loop import Loop
from companion.shell.record import WriterRecord
from companion.shell.wording import Line, read_wording
from hardware import Pressed, open_board
from speech import Found, Heard, Lost, TypedListener, Vocabulary

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

    def say(self, text: str, *, urgent: bool = False, instead: bool = False) -> None:  # noqa: ARG002
        self.said.append((text, urgent))
        self.order.append(text)

    def tone(self, pattern: str, *, urgent: bool = False) -> None:  # noqa: ARG002
        self.tones.append(pattern)
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
        self.inbox: queue.Queue[Arrival] = queue.Queue()
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
        )

    def hear(self, words: str, *, sure: bool = True) -> None:
        self.ear.results.append(
            Heard(words=words, confidence=1, sure=sure, engine="vosk", begin=0, end=0)
        )
        self.inbox.put(Ready())

    def close(self) -> None:
        self.record.close()
        self.board.close()


def test_typed_lines_reach_the_job_and_end_it_politely(
    know: Know, tmp_path: Path
) -> None:
    inbox: queue.Queue[Arrival] = queue.Queue()
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
    site.live._sentinel.close()
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
    site.live._sentinel.close()
    site.close()


def test_the_ear_is_closed_while_the_companion_talks(
    know: Know, tmp_path: Path
) -> None:
    site = Site(know, tmp_path)
    site.voice.talking = True
    site.inbox.put(Ready())
    site.live._round()
    assert site.ear.muted
    site.live._sentinel.close()
    site.close()


def test_the_sentinels_call_is_voice_lamp_and_tone(know: Know, tmp_path: Path) -> None:
    site = Site(know, tmp_path)
    site.stage.call()
    assert site.voice.said[-1][1]
    assert "Close the valve now" in site.voice.said[-1][0]
    assert site.voice.tones == ["danger"]
    site.live._sentinel.close()
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

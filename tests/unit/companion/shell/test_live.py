"""The loop on the real clock, driven through its devices' own ports."""

import io
from collections import deque
from pathlib import Path

from companion.job.inputs import Begun
from companion.job.know import Know
from companion.job.state import Closed, Job
from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.arrivals import Inbox, Ready, Written
from companion.shell.clock import SystemClock
from companion.shell.journal import FILE, Journal
from companion.shell.live import Live, LiveStage
from companion.shell.loop import Loop
from companion.shell.record import WriterRecord
from companion.shell.wording import read_wording
from hardware import Pressed, open_board
from speech import Heard, Lost, TypedListener, Vocabulary

AIR = standard_atmosphere(Length(0))


class Spoken:
    """A speaker that keeps what it is told to say."""

    def __init__(self) -> None:
        self.said: list[tuple[str, bool]] = []
        self.tones: list[str] = []
        self.talking = False

    def say(self, text: str, *, urgent: bool = False) -> None:
        self.said.append((text, urgent))

    def tone(self, pattern: str) -> None:
        self.tones.append(pattern)

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

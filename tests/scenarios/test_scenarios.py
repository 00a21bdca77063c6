"""Play the transcripts beside this file through the line filter, and compare.

A transcript is read from top to bottom. A line that starts at the margin goes in::

    +3   hear   one two zero        heard 3 s after the last line, and understood surely
    +3   hear?  valve closed        heard, but not surely
    +1   press  stop                a button
    +1   sense  suction_psig=131    a sensor
    +60  tick                       time alone
    +1   lost   speaker             a device; ``found`` brings it back
    +1   card   full                the record cannot be written; ``works`` mends it
    +300 cut                        the power goes, and comes back as long after
    walk liquid-pulses to ready#1   good answers of that site (see ``tests/conftest.py``)
                                    until this is asked; ``to end`` finishes the job

An indented line must come out, in this order and none besides: a ``fact`` for the
record, then a sentence by cue and values (``say!`` cuts and does not wait), ``light``,
``tone``, and ``ask`` for what is listened for (which stands for its fact). A time before it is counted like that of
the line above it and is left out where it is the same. In a walk only what decides is
shown. ``python -m pytest tests/scenarios --rewrite-scenarios`` writes the indented
lines anew; review them as a diff.
"""

import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from companion.job.amounts import Amount
from companion.job.evolve import fold
from companion.job.know import Know
from companion.job.listening import expected_now
from companion.shell.clock import ManualClock
from companion.shell.journal import FILE, Journal, JournalError
from companion.shell.lines import JsonStage, run_lines
from companion.shell.loop import Loop
from companion.shell.record import DirectRecord
from companion.shell.translate import heard
from companion.shell.units import number_in, unit_of
from companion.shell.wording import Wording
from speech import Heard as Sound
from tests.conftest import LONGEST, SEA_LEVEL, SITES, asked_key

SCENARIOS = sorted(Path(__file__).parent.glob("*.txt"))
LEFT_OUT = {"at", "fact", "words", "source", "revision"}
DECIDE = (
    "method-chosen",
    "wait-started",
    "round-judged",
    "open-called",
    "close-called",
    "close-reported",
    "halted",
    "charging-ended",
    "job-finished",
)
"""Facts that are shown of a walk."""


class Card:
    """A journal on a card that can be full."""

    def __init__(self, path: Path) -> None:
        self.journal = Journal(path, ManualClock(), durable=False)
        self.full = False

    def append(self, job: str, facts: Any) -> None:
        if self.full and facts:
            raise JournalError("the card is full")
        self.journal.append(job, facts)

    def close(self) -> None:
        self.journal.close()


class Player:
    """Plays the lines that go in and writes down what comes out."""

    def __init__(self, know: Know, wording: Wording, folder: Path) -> None:
        self.know, self.wording, self.folder = know, wording, folder
        self.at = 0.0
        self.written: list[str] = []
        self._start()

    def _start(self) -> None:
        self.out = io.StringIO()
        self.stage = JsonStage(self.out)
        self.card = Card(self.folder / FILE)
        kept = self.card.journal.open_job()
        self.loop = Loop(
            know=self.know,
            wording=self.wording,
            record=DirectRecord(self.card),
            stage=self.stage,
            job=fold(kept.facts if kept is not None else ()),
            seen=self.stage.facts,
        )

    def play(self, script: list[str]) -> list[str]:
        rest = iter(script)
        more = True
        while more:
            more = False
            source = self._lines(rest)
            run_lines(source, self.stage, self.loop, job_id="j1", ambient=SEA_LEVEL)
            if self.restarting:
                self.loop.record.close()
                self._start()
                more = True
        assert not self.loop.faulted
        self.loop.record.close()
        return self.written

    def _lines(self, script: Iterator[str]) -> Iterator[str]:
        """Give JSON lines, one for each that goes in, until the power is cut."""
        self.restarting = False
        for text in script:
            if not text or text.startswith("#"):
                self.written.append(text)
                continue
            if text.startswith("walk"):
                yield from self._walk(text)
                continue
            after, what, *rest = text.split(None, 2)
            self.written.append(self._input(after, what, rest))
            began, self.at = self.at, self.at + float(after)
            if what == "cut":
                self.restarting = True
                return
            yield from self._line(what, rest[0] if rest else "")
            self._write(self._take(), began)

    @staticmethod
    def _input(after: str, what: str, rest: list[str]) -> str:
        return f"{after:<5}{what:<7}{rest[0] if rest else ''}".rstrip()

    def _line(self, what: str, rest: str) -> Iterator[str]:
        """Give what one line says as the filter takes it; some go past the filter."""
        values: dict[str, Any] = {
            "hear": rest,
            "press": rest,
            "lost": rest,
            "found": rest,
        }
        if what == "sense":
            pairs = (each.split("=") for each in rest.split())
            values["sense"] = {name: float(value) for name, value in pairs}
        if what == "card":
            self.card.full = rest == "full"
        if what in values:
            yield json.dumps({"at": self.at, what: values[what]})
            return
        assert what in ("tick", "card", "hear?"), f"no such line: {what}"
        yield json.dumps({"at": self.at, "tick": True})
        if what == "hear?":
            self._hear_unsurely(rest)

    def _hear_unsurely(self, words: str) -> None:
        sound = Sound(
            words=words, confidence=0.3, sure=False, engine="vosk", begin=0, end=1
        )
        names = self.know.knowledge.catalogue.designations
        expects = expected_now(self.loop.job)
        self.loop.step(heard(self.at, sound, expects, self.wording, names))

    def _walk(self, text: str) -> Iterator[str]:
        _, name, _, until = text.split()
        site = SITES[name]
        self.written.append(f"walk {name} to {until}")
        began = self.at
        yield from self._first_line()
        for _ in range(LONGEST):
            job = self.loop.job
            if job.finished or asked_key(job) == until or job.valve.kind == until:
                break
            words = site.words(job, self.know)
            due = self.loop.deadline
            self.at = self.at + 1 if words or due is None else max(self.at, due)
            kind = {"hear": words} if words else {"tick": True}
            yield json.dumps({"at": self.at, **kind})
        else:
            raise AssertionError(f"the job does not get to {until}")
        decided = [each for each in self._take() if each.get("fact") in DECIDE]
        self._write(decided, began)

    def _first_line(self) -> Iterator[str]:
        if not self.loop.job.started:
            yield json.dumps({"at": self.at, "tick": True})

    def _take(self) -> list[dict[str, Any]]:
        """Give what came out since the last time."""
        text = self.out.getvalue()
        self.out.seek(0)
        self.out.truncate()
        lines = [json.loads(line) for line in text.splitlines()]
        return [
            line
            for line in lines
            if "done" not in line and line.get("fact") != "question-asked"
        ]

    def _write(self, lines: list[dict[str, Any]], began: float) -> None:
        for line in lines:
            time = "" if line.get("at") == self.at else seconds(line["at"] - began)
            self.written.append(f"{'':5}{time:<6} {shown(line)}")


def seconds(after: float) -> str:
    """Write a time to a tenth of a second."""
    return f"+{round(after, 1):g}"


def shown(line: dict[str, Any]) -> str:
    """Write one output as a line of a transcript."""
    if "fact" in line:
        skip = LEFT_OUT | ({"reason"} if line["fact"] == "method-chosen" else set())
        return f"fact   {line['fact']} {pairs(line, skip)}".rstrip()
    if "say" in line:
        mark = "say!" if line["urgent"] else "say"
        return f"{mark:<7}{line['cue']} {pairs(line['values'], set())}".rstrip()
    for kind in ("light", "tone", "ask"):
        if kind in line:
            return f"{kind:<7}{line[kind]} {line.get('pattern', '')}".rstrip()
    raise AssertionError(f"not to be shown: {line}")


def pairs(values: dict[str, Any], skip: set[str]) -> str:
    return " ".join(
        f"{name}={value(each)}" for name, each in values.items() if name not in skip
    )


def value(each: Any) -> str:
    match each:
        case None:
            return "-"
        case {"of": kind, "si": si}:
            return quantity(kind, si)
        case {"kind": "number", "amount": amount}:
            return value(amount)
        case {"kind": "name", "designation": name}:
            return str(name)
        case {"kind": "option", "option": option}:
            return str(option)
        case bool() | int() | float():
            return f"{each:g}"
        case _:
            text = str(each)
            return f'"{text}"' if not text or " " in text else text


def quantity(kind: str, si: float) -> str:
    if kind == "absolute-pressure":
        return f"{si / 1000:.4g}kPa"
    unit = unit_of(kind, "us")
    return number_in(Amount(of=kind, si=si), unit) + unit.printed


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_the_transcript_is_what_happens(
    know: Know,
    wording: Wording,
    path: Path,
    tmp_path: Path,
    request: pytest.FixtureRequest,
) -> None:
    expected = path.read_text(encoding="utf-8").rstrip("\n").split("\n")
    script = [line for line in expected if not line.startswith(" ")]
    written = Player(know, wording, tmp_path).play(script)
    if request.config.getoption("--rewrite-scenarios", default=False):
        path.write_text("\n".join(written) + "\n", encoding="utf-8")
        return
    assert written == expected


def test_there_are_transcripts() -> None:
    assert len(SCENARIOS) > 20

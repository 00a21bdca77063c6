"""Kill the program after any fact: what was said is on the card, and the job goes on.

A child process plays a whole typed job with a journal on disk. It is killed, by the
signal that cannot be caught, as soon as its k-th fact comes out; then the journal is
opened again, as after a power cut, and the job is played to its end.
"""

import io
import json
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from companion.job.deadlines import next_deadline
from companion.job.evolve import fold
from companion.job.know import Know
from companion.job.state import Closed
from companion.shell.clock import ManualClock
from companion.shell.journal import FILE, Journal, fact_to_dict, fact_to_json
from companion.shell.lines import JsonStage, run_lines
from companion.shell.loop import Loop
from companion.shell.record import DirectRecord
from companion.shell.wording import Wording
from tests.conftest import LONGEST, SEA_LEVEL, SITES, Play, Site, hoses_on

SYNCED_EVERY = 10
"""A killed process leaves what it wrote, synced or not; one kill in so many is of a
journal that syncs, as the real one does."""


WHOLE = ("weigh-in",)
"""Jobs that are killed after every fact with a hose on; the others are killed after one
fact in so many, for their time."""
ALIKE_EVERY = 4
BEFORE_HOSES_EVERY = 6
"""Before a hose is on, killed after one fact in six; from then on after each."""


def typed(loop: Loop, site: Site) -> Iterator[str]:
    """Give the lines of a technician who answers as the site does, to the end."""
    at = loop.job.at
    for _ in range(LONGEST):
        if loop.job.finished:
            return
        words = site.words(loop.job, loop.know) if loop.job.started else "status"
        if words:
            at = max(at, loop.job.at) + 1
            yield json.dumps({"at": at, "hear": words})
            continue
        at = max(at, next_deadline(loop.job) or at)
        yield json.dumps({"at": at, "tick": True})


def play_lines(
    know: Know, wording: Wording, site: Site, journal: Journal, out: Any, facts: Any
) -> Loop:
    stage = JsonStage(out)
    loop = Loop(
        know=know,
        wording=wording,
        record=DirectRecord(journal),
        stage=stage,
        job=fold(facts),
        seen=stage.facts,
    )
    run_lines(typed(loop, site), stage, loop, job_id="j1", ambient=SEA_LEVEL)
    return loop


def child(
    know: Know, wording: Wording, site: Site, path: Path, pipe: int, *, durable: bool
) -> None:
    """Play the job; the process ends here, whatever happens."""
    try:
        journal = Journal(path, ManualClock(), durable=durable)
        with os.fdopen(pipe, "w", buffering=1) as out:
            play_lines(know, wording, site, journal, out, ())
    finally:
        os._exit(0)


def killed_after(
    fact: int, know: Know, wording: Wording, site: Site, folder: Path
) -> list[dict[str, Any]]:
    """Kill a child after its fact of this number; give all whole lines it printed."""
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        durable = fact % SYNCED_EVERY == 0
        child(know, wording, site, folder / FILE, writing, durable=durable)
    os.close(writing)
    seen = 0
    printed: list[dict[str, Any]] = []
    with os.fdopen(reading) as lines:
        for line in lines:
            if not line.endswith("\n"):
                break
            printed.append(json.loads(line))
            seen += "fact" in printed[-1]
            if seen == fact and "fact" in printed[-1]:
                os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    return printed


def facts_of(lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the facts among printed lines, as they are kept."""
    facts = []
    for line in lines:
        if "fact" in line:
            kept = dict(line)
            kept["kind"] = kept.pop("fact")
            facts.append(kept)
    return facts


@pytest.mark.slow
@pytest.mark.parametrize("method", sorted(SITES))
def test_a_job_killed_after_any_fact_is_whole_safe_and_goes_on(
    know: Know, wording: Wording, method: str, tmp_path: Path
) -> None:
    site = SITES[method]
    facts = Play(know, wording).begin().walk(site).facts
    hose = next(n for n, fact in enumerate(facts) if "connect/" in fact_to_json(fact))
    every = 1 if method in WHOLE else ALIKE_EVERY
    kills = [
        *range(1, hose, BEFORE_HOSES_EVERY),
        *range(hose, len(facts), every),
        len(facts),
    ]
    for number in kills:
        folder = tmp_path / str(number)
        printed = killed_after(number, know, wording, site, folder)
        check_after_the_cut(know, wording, site, folder, printed)


def check_after_the_cut(
    know: Know,
    wording: Wording,
    site: Site,
    folder: Path,
    printed: list[dict[str, Any]],
) -> None:
    journal = Journal(folder / FILE, ManualClock(), durable=False)
    assert journal.report is None
    kept = journal.facts("j1")
    said = facts_of(printed)
    # A decision's facts are printed before what it says: nothing said is missing.
    assert [fact_to_dict(fact) for fact in kept[: len(said)]] == said
    left = journal.open_job()
    if left is None:
        assert fold(kept).finished
        journal.close()
        return
    assert left.facts == kept
    out = io.StringIO()
    loop = play_lines(know, wording, site, journal, out, kept)
    journal.close()
    lines = [json.loads(line) for line in out.getvalue().splitlines()]
    spoken = [line for line in lines if "fact" not in line]
    job = fold(kept)
    if hoses_on(kept) or not isinstance(job.valve, Closed):
        assert spoken[0]["cue"] == "close-restart"
        assert spoken[0]["urgent"]
        assert (spoken[1]["light"], spoken[1]["pattern"]) == ("attention", "blink")
        assert spoken[2]["tone"] == "danger"
    else:
        assert spoken[0]["cue"] == "resumed"
    assert loop.job.finished
    assert not loop.faulted

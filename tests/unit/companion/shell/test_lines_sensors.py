"""Sensed and spoken readings on the lines, one beside the other."""

import io
import json
from typing import Any

from companion.job.know import Know
from companion.job.state import Job
from companion.shell.lines import FRESH_S, JsonStage, run_lines
from companion.shell.loop import Loop
from companion.shell.record import NoRecord
from companion.shell.wording import Wording
from tests.conftest import SEA_LEVEL, SITES, Play


def cues(know: Know, wording: Wording, job: Job, *lines: dict[str, Any]) -> list[str]:
    """Send lines to an open job; give the cues after the restart's own."""
    out = io.StringIO()
    loop = Loop(
        know=know,
        wording=wording,
        record=NoRecord(),
        stage=JsonStage(out),
        job=job,
    )
    raw = [json.dumps({"at": job.at, "tick": True}), *map(json.dumps, lines)]
    run_lines(raw, JsonStage(out), loop, job_id="j7", ambient=SEA_LEVEL)
    said = [json.loads(line) for line in out.getvalue().splitlines()]
    return [line["cue"] for line in said if "cue" in line]


def test_a_spoken_reading_is_compared_with_what_was_sensed_just_before(
    know: Know, wording: Wording
) -> None:
    play = Play(know, wording).begin()
    play.walk_to(SITES["liquid-pulses"], "outdoor-temperature")
    before = play.job
    at = before.at
    told = cues(
        know,
        wording,
        before,
        {"at": at + 1, "hear": "go back"},
        {"at": at + 2, "sense": {"outdoor_f": 70}},
        {"at": at + 2.5, "hear": "none found"},
        {"at": at + 3, "hear": "nine two"},
    )
    assert told[-1] == "read-back-sensor"
    told = cues(
        know,
        wording,
        before,
        {"at": at + 1, "hear": "go back"},
        {"at": at + 2, "sense": {"outdoor_f": 70}},
        {"at": at + 2.5, "hear": "none found"},
        {"at": at + 2.1 + FRESH_S, "hear": "nine two"},
    )
    assert "read-back-sensor" not in told

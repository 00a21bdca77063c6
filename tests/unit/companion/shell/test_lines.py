"""JSON lines in with their own time, JSON lines out; no clock and no device."""

import io
import json
from collections.abc import Callable
from typing import Any

import pytest

from companion.job.cues import CUES
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import FACT_TYPES, QuestionAsked
from companion.job.know import Know
from companion.job.pulses import LEAST_S, REPEAT_S, REPORT_LAG_S
from companion.job.questions import base_key
from companion.job.state import Closed, Job
from companion.shell.line_reading import KINDS
from companion.shell.lines import JsonStage, run_lines
from companion.shell.lines_described import describe
from companion.shell.loop import Loop
from companion.shell.record import NoRecord
from companion.shell.wording import Wording, read_wording
from tests.conftest import SEA_LEVEL, SITES, Play

LIQUID = SITES["liquid-pulses"]
NO_QUESTION = ("halted", "waiting")
"""Where the job stands still or waits, the key is the expectation."""
Runner = Callable[..., list[dict[str, Any]]]


@pytest.fixture
def run(know: Know, wording: Wording) -> Runner:
    """Send objects, or raw lines, and give the lines that come back."""

    def go(
        *lines: Any, job: Job | None = None, words: Wording = wording
    ) -> list[dict[str, Any]]:
        out = io.StringIO()
        stage = JsonStage(out)
        loop = Loop(
            know=know,
            wording=words,
            record=NoRecord(),
            stage=stage,
            job=job,
            seen=stage.facts,
        )
        raw = [each if isinstance(each, str) else json.dumps(each) for each in lines]
        run_lines(raw, stage, loop, job_id="j7", ambient=SEA_LEVEL)
        go.loop = loop
        return [json.loads(line) for line in out.getvalue().splitlines()]

    return go


def of(lines: list[dict[str, Any]], kind: str) -> list[Any]:
    return [line[kind] for line in lines if kind in line]


def test_the_first_line_begins_a_job(run: Runner) -> None:
    lines = run({"at": 3, "tick": True})
    assert lines[0] == {
        "at": 3.0,
        "fact": "job-started",
        "job": "j7",
        "ambient": {"of": "absolute-pressure", "si": SEA_LEVEL.pa},
        "units": "us",
        "known_voice": False,
    }
    assert of(lines, "cue") == ["welcome", "ask"]
    assert lines[-1] == {"done": 1, "deadline": 33.0}


def test_each_kind_of_output_is_one_object(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "connect/purge").job
    lines = run(
        {"at": 500, "hear": "valve closed"},
        {"at": 501, "hear": "close"},
        {"at": 602, "hear": "valve closed"},
        job=job,
    )
    said = next(line for line in lines if line.get("cue") == "close-asked")
    assert said == {
        "at": 501.0,
        "say": "Close. Close the valve now.",
        "cue": "close-asked",
        "values": {},
        "urgent": True,
    }
    assert {"at": 501.0, "light": "attention", "pattern": "blink"} in lines
    assert {"at": 501.0, "tone": "danger"} in lines
    assert {"at": 501.0, "ask": "valve-closed"} in lines
    called = {"at": 501.0, "fact": "close-called", "opening": 0, "reason": "asked"}
    assert called in lines
    order = [lines.index(said), lines.index(called)]
    assert order == sorted(order), "the call goes before the record"


def test_values_are_plain(run: Runner, play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0").job
    lines = run(
        {"at": 500, "hear": "valve closed"},
        {"at": 601, "hear": "one two zero"},
        job=job,
    )
    heard = next(line for line in lines if line.get("cue") == "heard")
    assert heard["values"]["key"] == "suction-pressure"
    answer = heard["values"]["answer"]
    assert (answer["of"], round(answer["si"])) == ("gauge-pressure", 827371)


def test_every_line_is_answered_with_its_number(run: Runner) -> None:
    lines = run({"at": 0, "tick": 1}, "", "  ", {"at": 1, "hear": "help"}, "nonsense")
    assert of(lines, "done") == [1, 2, 3, 4, 5]


WRONG = [
    ("", "is empty"),
    ("  ", "is empty"),
    ("not json", "is not JSON"),
    ("[1, 2]", "is not an object"),
    ("3", "is not an object"),
    ("{}", "has nothing"),
    ('{"at": 1}', "needs 'at' and exactly one of"),
    ('{"at": 1, "hear": "yes", "press": "stop"}', "exactly one of"),
    ('{"at": 1, "hear": "yes", "loud": true}', "exactly one of"),
    ('{"hear": "yes"}', "'at' must be seconds"),
    ('{"at": -1, "hear": "yes"}', "'at' must be seconds"),
    ('{"at": true, "hear": "yes"}', "'at' must be seconds"),
    ('{"at": "1", "hear": "yes"}', "'at' must be seconds"),
    ('{"at": NaN, "hear": "yes"}', "'at' must be seconds"),
    ('{"at": 1e999, "hear": "yes"}', "'at' must be seconds"),
    ('{"at": 1, "hear": 4}', "cannot be used"),
    ('{"at": 1, "press": "eject"}', "cannot be used"),
    ('{"at": 1, "press": ["stop"]}', "cannot be used"),
    ('{"at": 1, "lost": 3}', "cannot be used"),
    ('{"at": 1, "lost": "microfone"}', "devices microphone"),
    ('{"at": 1, "sense": 3}', "cannot be used"),
    ('{"at": 1, "sense": {"mood": 3}}', "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": "120"}}', "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": true}}', "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": null}}', "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": NaN}}', "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": Infinity}}', "is no reading"),
    ('{"at": 1, "sense": {"outdoor_f": -600}}', "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": -500}}', "below a perfect vacuum"),
    ('{"at": 1, "sense": {"suction_psig": 1' + "0" * 400 + "}}", "is no reading"),
    ('{"at": 1, "sense": {"suction_psig": 1' + "0" * 5000 + "}}", ""),
    ("[" * 100_000, ""),
]


@pytest.mark.parametrize(("line", "message"), WRONG)
def test_a_line_that_cannot_be_used_says_so_and_changes_nothing(
    run: Runner, line: str, message: str
) -> None:
    lines = run({"at": 0, "tick": True}, line, {"at": 2, "hear": "status"})
    (error,) = of(lines, "error")
    assert error.startswith("line 2")
    assert message in error
    assert of(lines, "fact") == ["job-started", "question-asked", "explained"]
    assert not run.loop.faulted


def test_a_wrong_first_line_begins_nothing(run: Runner) -> None:
    assert of(run({"at": 1, "press": "eject"}), "fact") == []


@pytest.mark.parametrize("kind", ["hear", "lost"])
@pytest.mark.parametrize("text", ["\ud800", "a\x00b", "\x1b[2J", "\u202e", "9" * 5000])
def test_odd_text_is_no_fault(run: Runner, kind: str, text: str) -> None:
    lines = run({"at": 0, "tick": True}, {"at": 1, kind: text}, {"at": 2, "tick": 1})
    assert not run.loop.faulted
    assert of(lines, "done") == [1, 2, 3]


def test_time_that_runs_back_is_taken_as_now(run: Runner) -> None:
    lines = run({"at": 50, "tick": True}, {"at": 3, "hear": "status"})
    assert [line["at"] for line in lines if line.get("cue") == "status"] == [50.0]


def test_time_far_back_is_a_mistake(run: Runner) -> None:
    lines = run({"at": 500, "tick": True}, {"at": 3, "hear": "status"})
    assert "500 came before" in of(lines, "error")[0]
    assert "status" not in of(lines, "cue")


def test_times_that_creep_back_are_a_mistake_in_the_end(run: Runner) -> None:
    lines = run(*({"at": at, "tick": True} for at in (200, 150, 100)))
    assert "200 came before" in of(lines, "error")[0]


@pytest.mark.parametrize("at", [{}, {"at": 3}, {"at": 1e12}, {"at": "now"}])
@pytest.mark.parametrize(
    "call",
    [{"press": "stop"}, {"hear": "stop"}, {"hear": "close the valve"}],
)
def test_a_call_to_close_is_obeyed_whatever_its_time(
    run: Runner, play: Callable[[], Play], at: dict[str, Any], call: dict[str, Any]
) -> None:
    job = play().walk_to(LIQUID, "ready#1").job
    lines = run({"at": 500, "hear": "valve closed"}, {**at, **call, "mood": 1}, job=job)
    assert of(lines, "error")[0].endswith("obeyed all the same, as now")
    assert "close-called" in of(lines, "fact")
    assert of(lines, "done") == [1, 2]


def test_lines_that_cannot_be_used_hold_up_no_close_call(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0").job
    readings = ("one two zero", "six three", "three three zero", "nine nine") * 2
    lines = run(
        {"at": 500, "hear": "valve closed"},
        *({"at": 601 + n, "hear": words} for n, words in enumerate(readings)),
        {"at": 610, "hear": "i am ready"},
        *({"at": at, "sense": {"mood": 1}} for at in range(611, 627)),
        job=job,
    )
    (opened,) = (line for line in lines if line.get("fact") == "open-called")
    calls = [line["at"] for line in lines if line.get("cue") == "close-planned"]
    assert len(calls) == 1
    assert calls[0] <= opened["at"] + opened["limit_s"]
    assert "done" in lines[-1], "called in time, not when the lines ended"


def test_a_closed_valve_is_heard_whatever_its_time(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "ready#1").job
    lines = run(
        {"at": 500, "hear": "valve closed"},
        {"at": 501, "press": "stop"},
        {"at": 2, "hear": "fully shut"},
        job=job,
    )
    assert "2" in of(lines, "error")[0]
    assert run.loop.job.valve == Closed()


def test_an_open_valve_gets_its_close_call_when_the_lines_end(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0").job
    readings = ("one two zero", "six three", "three three zero", "nine nine") * 2
    lines = run(
        {"at": 500, "hear": "valve closed"},
        *({"at": 601 + n, "hear": words} for n, words in enumerate(readings)),
        {"at": 610, "hear": "i am ready"},
        {"at": 612, "hear": "valve opened"},
        job=job,
    )
    done = max(n for n, line in enumerate(lines) if "done" in line)
    after = lines[done + 1 :]
    assert of(after, "cue") == ["close-planned"]
    assert of(after, "tone") == ["danger"]
    assert after[0]["at"] == pytest.approx(lines[done]["deadline"], abs=0.001)


def test_one_sense_answers_all_it_can(run: Runner, play: Callable[[], Play]) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0").job
    sense = {
        "suction_psig": 119.0,
        "liquid_psig": 330.0,
        "suction_line_f": 63.0,
        "liquid_line_f": 99.0,
    }
    lines = run(
        {"at": 500, "hear": "valve closed"}, {"at": 601, "sense": sense}, job=job
    )
    taken = [line for line in lines if line.get("fact") == "answer-accepted"]
    assert [line["key"].split("@")[0] for line in taken] == [
        "suction-pressure",
        "suction-line-temperature",
        "liquid-pressure",
        "liquid-line-temperature",
    ]
    assert {line["by"] for line in taken} == {"sensor"}
    again = run(
        {"at": 500, "hear": "valve closed"},
        {"at": 601, "sense": sense},
        {"at": 602, "sense": sense},
        job=job,
    )
    assert "round-judged" in of(again, "fact")


def test_a_caller_who_sends_no_ticks_gets_every_close_call_at_its_moment(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0").job
    readings = ("one two zero", "six three", "three three zero", "nine nine") * 2
    lines = run(
        {"at": 500, "hear": "valve closed"},
        *({"at": 601 + n, "hear": words} for n, words in enumerate(readings)),
        {"at": 610, "hear": "i am ready"},
        {"at": 612, "hear": "valve opened"},
        {"at": 627, "hear": "valve closed"},
        job=job,
    )
    calls = [line["at"] for line in lines if str(line.get("cue")).startswith("close-")]
    opened = next(line for line in lines if line.get("fact") == "open-called")
    planned = 612 + max(LEAST_S, opened["planned_s"] - REPORT_LAG_S)
    repeats = [planned + REPEAT_S * number for number in range(4)]
    assert calls == pytest.approx([500.0, *repeats])


def test_a_job_that_was_under_way_is_resumed(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "metering").job
    lines = run({"at": 1, "hear": "fixed orifice"}, job=job)
    assert of(lines, "fact")[:2] == ["power-returned", "question-asked"]
    assert of(lines, "cue")[0] == "resumed"
    assert of(lines, "fact")[2] == "answer-accepted"
    assert min(line["at"] for line in lines if "at" in line) == job.at


def test_buttons_sensors_and_devices_come_in(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "suction-pressure@0").job
    lines = run(
        {"at": 500, "press": "closed"},
        {"at": 501, "press": "confirm"},
        {
            "at": 602,
            "sense": {"suction_psig": 120, "scale_oz": 240, "liquid_psig": 330},
        },
        {"at": 603, "sense": {"suction_line_f": 63, "liquid_line_f": 99}},
        {"at": 604, "lost": "microphone"},
        {"at": 605, "found": "microphone"},
        job=job,
    )
    facts = of(lines, "fact")
    assert "close-reported" in facts
    assert {"device-went-missing", "device-came-back"} <= set(facts)
    assert not of(lines, "error")
    sensed = [line["key"] for line in lines if line.get("by") == "sensor"]
    assert sensed == ["suction-pressure@0", "suction-line-temperature@0"]


def test_the_words_are_understood_in_the_technicians_units(run: Runner) -> None:
    started = next(
        line
        for line in run({"at": 0, "tick": 1}, words=read_wording("si"))
        if line.get("fact") == "job-started"
    )
    assert started["units"] == "si"


def test_the_same_lines_give_the_same_lines(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk_to(LIQUID, "ready#1").job
    sent = [
        {"at": 300, "hear": "status"},
        {"at": 301, "hear": "valve closed"},
        {"at": 500, "hear": "one two zero"},
    ]
    assert run(*sent, job=job) == run(*sent, job=job)


def test_what_can_be_sent_and_come_back_is_described(
    know: Know, wording: Wording
) -> None:
    described = describe(know, wording)
    assert json.loads(json.dumps(described)) == described
    assert set(described["cues"]) == set(CUES)
    assert set(described["expectations"]) == set(EXPECTATIONS)
    assert len(described["facts"]) == len(FACT_TYPES)
    assert described["facts"]["close-called"] == ["at", "opening", "reason"]
    assert "stop" in described["buttons"]
    assert "suction_psig" in described["readings"]
    assert described["valve"][0].startswith("state")
    assert described["expectations"]["yes-no"]["number"] is None
    assert described["expectations"]["suction-pressure"]["unit"] == "Pa"
    assert described["questions"]["metering"]["expects"] == "metering"
    step = described["steps"]["pre-checks/closed-circuit"]
    assert (step["expects"], step["good"]) == ("yes-no", "no")
    assert "fully shut" in described["words"]["closed"]
    assert set(described["inputs"]) == {"at", *KINDS}
    expected = described["expectations"].values()
    understood = {word for each in expected for word in each["controls"]}
    chosen = {option for each in expected for option in each["options"]}
    assert understood | chosen | set(described["always"]) <= set(described["words"])


def test_every_question_that_is_asked_is_described(
    know: Know, wording: Wording, play: Callable[[], Play]
) -> None:
    described = describe(know, wording)
    keys = {**described["questions"], **described["steps"]}
    for site in SITES.values():
        for fact in play().walk(site).facts:
            if isinstance(fact, QuestionAsked) and fact.key not in NO_QUESTION:
                assert base_key(fact.key) in keys
                assert keys[base_key(fact.key)]["expects"] == fact.expects


def test_a_finished_job_takes_lines_and_stays_closed(
    run: Runner, play: Callable[[], Play]
) -> None:
    job = play().walk(LIQUID).job
    lines = run({"at": 9000, "hear": "status"}, {"at": 9001, "press": "stop"}, job=job)
    assert of(lines, "cue") == ["over", "over"]
    assert run.loop.job.valve == Closed()

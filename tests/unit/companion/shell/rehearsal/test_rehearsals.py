"""Every shipped scenario, typed, on several seeds: finished, nothing taken wrongly."""

import re
from pathlib import Path
from typing import Literal

import pytest

from companion.job.facts import AnswerAccepted, CloseReported
from companion.shell.clock import ManualClock
from companion.shell.journal import FILE, Journal
from companion.shell.knowing import read_know
from companion.shell.rehearsal.run import Outcome, rehearse
from companion.shell.rehearsal.scenario import (
    ScenarioError,
    read_scenario,
    scenario_names,
)
from companion.shell.wording import read_wording

KNOW = read_know()
WORDING = read_wording("us")
METHODS = {
    "liquid-orifice": "liquid-pulses",
    "liquid-valve": "liquid-pulses",
    "vapor-orifice": "vapor",
    "weigh-in": "weigh-in",
}
HEALTHY = tuple(name for name in scenario_names() if not name.startswith("fault-"))
"""Those with a fault are in ``test_fault_rehearsals``."""


def play(name: str, seed: int, folder: Path) -> Outcome:
    return rehearse(
        read_scenario(name), know=KNOW, wording=WORDING, seed=seed, folder=folder
    )


@pytest.mark.parametrize("name", HEALTHY)
@pytest.mark.parametrize("seed", [1, 2])
def test_a_scenario_plays_to_its_end(name: str, seed: int, tmp_path: Path) -> None:
    outcome = play(name, seed, tmp_path)
    assert outcome.finished
    assert outcome.readings.wrong == []
    assert outcome.readings.accepted_right > 10
    assert outcome.job.method is not None
    assert outcome.job.method.method == METHODS[name]


@pytest.mark.parametrize("name", HEALTHY[1:3])
def test_the_same_seed_plays_the_same_job(name: str, tmp_path: Path) -> None:
    first = play(name, 5, tmp_path / "a")
    second = play(name, 5, tmp_path / "b")
    assert first.lines == second.lines


@pytest.mark.parametrize("name", HEALTHY)
def test_no_opening_lasts_past_its_limit_and_the_hand(
    name: str, tmp_path: Path
) -> None:
    outcome = play(name, 4, tmp_path)
    for pulse in outcome.job.pulses:
        longest = 120.0 if name == "weigh-in" else 60.0 if "vapor" in name else 15.0
        assert pulse.open_s <= longest + 4.0


@pytest.mark.parametrize(
    ("name", "system"),
    [("liquid-orifice", "us"), ("liquid-valve", "si"), ("weigh-in", "si")],
)
def test_a_scenario_plays_to_its_end_in_spanish(
    name: str, system: Literal["us", "si"], tmp_path: Path
) -> None:
    outcome = rehearse(
        read_scenario(name),
        know=read_know("es"),
        wording=read_wording(system, language="es"),
        seed=1,
        folder=tmp_path,
    )
    assert outcome.finished
    assert outcome.readings.wrong == []
    assert outcome.readings.accepted_right > 10
    spoken = [line for line in outcome.lines if "COMPANION" in line]
    english = re.compile(r"\b(the|and|valve|close|say|not|with|of)\b", re.IGNORECASE)
    assert [line for line in spoken if english.search(line)] == []


@pytest.mark.parametrize(
    ("name", "language"),
    [("liquid-valve", "en"), ("vapor-orifice", "es"), ("weigh-in", "en")],
)
def test_a_scenario_plays_to_its_end_by_presses_alone(
    name: str, language: Literal["en", "es"], tmp_path: Path
) -> None:
    outcome = rehearse(
        read_scenario(name),
        know=read_know(language),
        wording=read_wording("us", language=language),
        seed=1,
        folder=tmp_path,
        buttons=True,
    )
    assert outcome.finished
    assert outcome.readings.wrong == []
    assert outcome.readings.accepted_right > 10
    assert not any("heard" in line.split()[1:2] for line in outcome.lines)
    journal = Journal(tmp_path / FILE, ManualClock(), durable=False)
    facts = journal.facts(outcome.job.id)
    journal.close()
    accepted = [fact for fact in facts if isinstance(fact, AnswerAccepted)]
    closed = [fact for fact in facts if isinstance(fact, CloseReported)]
    assert {fact.by for fact in (*accepted, *closed)} == {"button"}
    assert closed


def test_an_unknown_scenario_names_those_there_are() -> None:
    with pytest.raises(ScenarioError, match="liquid-orifice"):
        read_scenario("nowhere")

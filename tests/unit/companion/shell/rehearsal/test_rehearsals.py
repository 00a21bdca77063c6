"""Every shipped scenario, typed, on several seeds: finished, nothing taken wrongly."""

from pathlib import Path

import pytest

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
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_scenario_plays_to_its_end(name: str, seed: int, tmp_path: Path) -> None:
    outcome = play(name, seed, tmp_path)
    assert outcome.finished
    assert outcome.readings.wrong == []
    assert outcome.readings.accepted_right > 10
    assert outcome.job.method is not None
    assert outcome.job.method.method == METHODS[name]


@pytest.mark.parametrize("name", HEALTHY)
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


def test_an_unknown_scenario_names_those_there_are() -> None:
    with pytest.raises(ScenarioError, match="liquid-orifice"):
        read_scenario("nowhere")

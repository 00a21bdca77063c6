"""Rehearsals of what goes wrong: each ends safely, with the right words."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, get_args

import pytest

from companion.job.state import Closed
from companion.shell.knowing import read_know
from companion.shell.rehearsal.run import Outcome, rehearse
from companion.shell.rehearsal.scenario import (
    Scenario,
    read_faults,
    read_scenario,
    scenario_names,
)
from companion.shell.rig.faults import Fault
from companion.shell.wording import read_wording

KNOW = read_know()
WORDING = read_wording("us")
SEEDS = (1,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a fault must come to.

    Attributes
    ----------
    words
        One of these is said before the end, in any case.
    pulses
        Whether the valve may be opened at all.
    not_ending
        Outcomes that would be wrong.
    charge_pct
        The charge at the end, less the right one, may be no more than this.
    """

    words: tuple[str, ...]
    pulses: bool
    charge_pct: float
    not_ending: tuple[str, ...] = ("target",)


WANTED: dict[str, Wanted] = {
    "fault-already-full": Wanted(
        words=("nothing added", "at its target"),
        pulses=False,
        charge_pct=0.5,
    ),
    "fault-too-full": Wanted(
        words=("too much refrigerant", "recover"), pulses=False, charge_pct=12.5
    ),
    "fault-cylinder-empty": Wanted(
        words=("left in the cylinder", "cylinder is empty", "no rise", "did not rise"),
        pulses=True,
        charge_pct=0.0,
    ),
    "fault-cylinder-upright": Wanted(
        words=("target", "cylinder"), pulses=True, charge_pct=3.0, not_ending=()
    ),
    "fault-valve-passes": Wanted(
        words=("too much", "leak", "passing", "passes", "still open", "fully shut"),
        pulses=True,
        charge_pct=25.0,
    ),
    "fault-outdoor-fan": Wanted(
        words=("look at the coil", "head", "condens"), pulses=True, charge_pct=6.0
    ),
    "fault-outdoor-coil": Wanted(
        words=("look at the coil", "condens"), pulses=False, charge_pct=0.0
    ),
    "fault-indoor-air": Wanted(words=("too little air",), pulses=False, charge_pct=0.5),
    "fault-restriction": Wanted(words=("restriction",), pulses=False, charge_pct=0.5),
    "fault-foreign-gas": Wanted(
        words=("air in the circuit", "foreign gas"), pulses=False, charge_pct=0.0
    ),
}


@cache
def play(name: str, seed: int) -> Outcome:
    with TemporaryDirectory() as folder:
        return rehearse(
            read_scenario(name),
            know=KNOW,
            wording=WORDING,
            seed=seed,
            folder=Path(folder),
        )


def test_every_fault_has_a_rehearsal() -> None:
    named = [name for name in scenario_names() if name.startswith("fault-")]
    assert set(named) == WANTED.keys()
    played = {type(fault) for name in named for fault in read_scenario(name).faults}
    # A cylinder shut by mistake looks to the readings like an empty one.
    left = {each.__name__ for each in set(get_args(Fault)) - played}
    assert left == {"CylinderValveShut"}


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", WANTED)
def test_a_fault_ends_safely_with_the_right_words(name: str, seed: int) -> None:
    wanted, outcome = WANTED[name], play(name, seed)
    assert outcome.finished
    assert isinstance(outcome.job.valve, Closed)
    assert outcome.outcome not in wanted.not_ending
    assert bool(outcome.pulses) <= wanted.pulses
    assert outcome.charge_error_pct <= wanted.charge_pct
    assert outcome.readings.wrong == []
    said = [line.lower() for line in outcome.lines if "COMPANION" in line]
    assert any(word in line for word in wanted.words for line in said)
    for pulse in outcome.job.pulses:
        assert pulse.open_s <= 15.0 + 4.0


UNIT: dict[str, Any] = {
    "refrigerant": "R-22",
    "metering": "fixed-orifice",
    "tons": 2.0,
    "charge_fraction": 0.9,
    "outdoor_f": 90.0,
    "return_db_f": 78.0,
    "return_wb_f": 66.0,
    "running": True,
}


@pytest.mark.parametrize("fault", get_args(Fault))
def test_every_fault_can_be_written_in_a_scenario(fault: type[Fault]) -> None:
    written = [{"kind": fault().kind, "at": 12.5}]
    scenario = Scenario.model_validate(
        {"purpose": "a fault", "unit": UNIT, "answers": {}, "faults": written}
    )
    (found,) = scenario.rig_spec(1).faults
    assert type(found) is fault
    assert found.at == 12.5


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("cylinder-empty", "table"),
        ([{"kind": "moon"}], "cylinder-empty"),
        ([{"at": 3.0}], "no fault"),
        ([{"kind": "valve-passes", "psi": 3.0}], "share"),
        ([{"kind": "valve-passes", "share": "much"}], "share"),
    ],
)
def test_a_broken_fault_says_what_would_be_right(written: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        read_faults(written)

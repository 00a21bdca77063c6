"""A job through simulated pins: the whole way from a wire to the engine and back."""

from pathlib import Path

import pytest

from companion.job.facts import (
    AnswerAccepted,
    CloseCalled,
    CloseReported,
    DeviceWentMissing,
    Fact,
    NumberAnswer,
    OpenCalled,
    OpenReadingSeen,
    OpenReported,
)
from companion.job.know import Know
from companion.shell.clock import SystemClock
from companion.shell.journal import FILE, Journal
from companion.shell.rehearsal.box import SimulatedBox
from companion.shell.rehearsal.ride import Mischief
from companion.shell.rehearsal.run import rehearse
from companion.shell.rehearsal.scenario import read_scenario
from companion.shell.wording import Wording


def ride(
    know: Know, wording: Wording, folder: Path, *mischief: Mischief, seed: int = 1
) -> list[Fact]:
    """Ride to the end of the first opening; give all facts."""
    box = SimulatedBox(seed=seed)
    rehearse(
        read_scenario("liquid-orifice"),
        know=know,
        wording=wording,
        seed=seed,
        folder=folder,
        box=box,
        mischief=mischief,
        until=lambda job: bool(job.pulses),
    )
    box.close()
    journal = Journal(folder / FILE, SystemClock())
    facts = journal.facts(journal.jobs()[-1])
    journal.close()
    return list(facts)


def opened(fact: Fact) -> bool:
    return isinstance(fact, OpenReported)


@pytest.mark.slow
def test_presses_and_samples_carry_a_job_to_its_first_closing(
    know: Know, wording: Wording, tmp_path: Path
) -> None:
    facts = ride(know, wording, tmp_path)
    sensed = [
        fact
        for fact in facts
        if isinstance(fact, AnswerAccepted) and fact.by == "sensor"
    ]
    assert {fact.key for fact in sensed} >= {
        "outdoor-temperature",
        "suction-pressure@0",
        "suction-line-temperature@0",
        "liquid-pressure@0",
        "liquid-line-temperature@0",
    }
    for fact in sensed:
        assert isinstance(fact.answer, NumberAnswer)
        assert fact.answer.error
    assert any(isinstance(f, OpenReadingSeen) and f.by == "sensor" for f in facts)
    assert next(f.by for f in facts if isinstance(f, CloseReported)) == "button"


@pytest.mark.slow
def test_a_lead_that_breaks_in_mid_pulse_closes_at_once_and_is_named(
    know: Know, wording: Wording, tmp_path: Path
) -> None:
    struck = Mischief(
        when=opened, after=0.5, do=lambda box: box.damage("suction-pressure", "open")
    )
    facts = ride(know, wording, tmp_path, struck)
    at = next(fact.at for fact in facts if opened(fact)) + 0.5
    call = next(fact for fact in facts if isinstance(fact, CloseCalled))
    assert call.reason == "device"
    assert call.at - at <= 0.4
    lost = next(fact for fact in facts if isinstance(fact, DeviceWentMissing))
    assert (lost.device, lost.reason) == ("suction-pressure-sensor", "open")


@pytest.mark.slow
def test_the_stop_button_closes_from_its_pin(
    know: Know, wording: Wording, tmp_path: Path
) -> None:
    press = Mischief(
        when=lambda fact: isinstance(fact, OpenCalled),
        after=1.0,
        do=lambda box: box.press("stop"),
    )
    facts = ride(know, wording, tmp_path, press)
    call = next(fact for fact in facts if isinstance(fact, CloseCalled))
    opening = next(fact for fact in facts if isinstance(fact, OpenCalled))
    assert call.reason == "asked"
    assert call.at - opening.at <= 1.3

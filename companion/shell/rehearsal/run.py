"""Play a whole job and leave its conversation, transcript and record behind."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from checklists import AskStep
from companion.job.facts import Fact
from companion.job.inputs import Begun
from companion.job.know import Know
from companion.job.state import Job
from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.clock import ManualClock
from companion.shell.journal import FILE, Journal
from companion.shell.loop import Loop
from companion.shell.record import DirectRecord
from companion.shell.rehearsal.conversation import Conversation, Readings
from companion.shell.rehearsal.ear import Ear, TypedEar
from companion.shell.rehearsal.scenario import Scenario
from companion.shell.rehearsal.technician import Technician
from companion.shell.rehearsal.world import Mouth, SilentMouth, World
from companion.shell.rig.rig import Rig
from companion.shell.wording import Wording

LONGEST_S = 3 * 3600.0
"""A rehearsal that is not over by then is given up [s of job time]."""

if TYPE_CHECKING:
    from companion.shell.rehearsal.box import SimulatedBox
    from companion.shell.rehearsal.ride import Mischief


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a rehearsal came to.

    ``charge_error_pct`` is the true charge at the end against the right one.
    """

    finished: bool
    outcome: str
    readings: Readings
    pulses: int
    charge_error_pct: float
    job_s: float
    job: Job
    lines: tuple[str, ...]


def rehearse(
    scenario: Scenario,
    *,
    know: Know,
    wording: Wording,
    seed: int,
    folder: Path,
    show: Callable[[str], None] | None = None,
    ear: Ear | None = None,
    mouth: Mouth | None = None,
    box: "SimulatedBox | None" = None,
    mischief: "Sequence[Mischief]" = (),
    until: Callable[[Job], bool] | None = None,
    buttons: bool = False,
) -> Outcome:
    """Play a scenario to its end.

    Parameters
    ----------
    folder
        Where the job's journal is kept.
    show
        Called with each line of the conversation as it happens.
    ear, mouth
        How words reach the companion and it speaks; typed and silent by default.
    box, mischief
        A simulated box to press and sense with, and what happens to it.
    until
        Ends it early, where only a part of a job is of interest.
    buttons
        The technician says nothing and presses the four buttons instead.
    """
    rig = Rig(scenario.rig_spec(seed))
    technician = Technician(scenario, rig, wording, seed)
    technician.good_answers = good_answers(know)
    conversation = Conversation(wording, technician.meant, show)
    ear = ear or TypedEar()
    world = _kind_of_world(box)(
        rig=rig,
        technician=technician,
        ear=ear,
        mouth=mouth or SilentMouth(),
        wording=wording,
        know=know,
        conversation=conversation,
        buttons=buttons,
    )
    if box is not None:
        world.ride(box, mischief)
    # A rehearsal has nothing to lose: its journal is not synced to the card.
    journal = Journal(folder / FILE, ManualClock(), durable=False)
    loop = Loop(
        know=know,
        wording=wording,
        record=DirectRecord(journal),
        stage=world,
        seen=lambda at, facts: _seen(world, conversation, at, facts),
    )
    world.watch(lambda: loop.job)
    ambient = standard_atmosphere(Length(0))
    loop.step(
        Begun(at=0.0, job=f"rehearsal-{seed}", ambient=ambient, units=wording.system)
    )
    try:
        while not (
            loop.job.finished or loop.faulted or (until is not None and until(loop.job))
        ):
            if world.now >= LONGEST_S:
                break
            loop.step(world.next(loop.due(world.talked_until)))
    finally:
        ear.close()
        loop.record.close()
    truth = rig.truth()
    error = 100 * (truth.charge_kg / truth.full_charge_kg - 1)
    return Outcome(
        finished=loop.job.finished,
        outcome=loop.job.outcome or "",
        readings=conversation.readings,
        pulses=len(loop.job.pulses),
        charge_error_pct=error,
        job_s=world.now,
        job=loop.job,
        lines=tuple(conversation.lines),
    )


def _seen(
    world: World, conversation: Conversation, at: float, facts: Sequence[Fact]
) -> None:
    conversation.facts(at, facts)
    world.facts(facts)


def _kind_of_world(box: "SimulatedBox | None") -> type[World]:
    """Choose the world; pins and sensors are not loaded for those who do without."""
    if box is None:
        return World
    from companion.shell.rehearsal.ride import Ride

    return Ride


def good_answers(know: Know) -> dict[str, str]:
    """Give the good answer of every checklist question, by key."""
    return {
        f"{checklist.id}/{step.id}": step.good
        for checklist in know.checklists.values()
        for step in checklist.steps
        if isinstance(step, AskStep)
    }

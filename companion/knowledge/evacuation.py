"""Evacuating a circuit: the steps with their times, and what a vacuum that rises means.

Two published rules differ: a maker's manual wants 500 micron held for twenty minutes, a
distributor's note passes a steady 1000 micron after ten. The stricter decides. Once the
pump is shut off, a level that settles is moisture still boiling, and one that goes on
rising is a leak.

References
----------
A maker's installation manual and a distributor's note on evacuation; see
``sources.toml``. Water boils at 25 degC only below 23 776 micron, at 5 degC below 6 545.
"""

from dataclasses import dataclass
from typing import Literal

from companion.knowledge.limits import Limits, Seconds
from companion.knowledge.quantities import AbsolutePressure
from companion.knowledge.tables import Citation

Decay = Literal["pass", "pump-on", "wait", "moisture", "leak", "moisture-or-leak"]
_EDGE = 1.001  # vacuum gauges show three digits; 66.7 Pa is 500 micron
_PUMPED = "the pump draws through short wide hoses, cores out, gauge far from the pump"


@dataclass(frozen=True, slots=True, kw_only=True)
class EvacuationStep:
    """One step.

    Attributes
    ----------
    id, say
        Name, and what to do as a sentence.
    until
        The level that ends it, if one does.
    wait
        How long it takes at least, if it is a wait.
    citation
        Who says so.
    """

    id: str
    say: str
    until: AbsolutePressure | None = None
    wait: Seconds | None = None
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class DecayVerdict:
    """What a vacuum did once the pump was shut off, and what to do."""

    verdict: Decay
    reason: str

    @property
    def passed(self) -> bool:
        """Whether the circuit is proved dry and tight."""
        return self.verdict == "pass"


def evacuation_steps(limits: Limits) -> tuple[EvacuationStep, ...]:
    """Give the steps from a repaired circuit to one that may be charged."""
    target = limits.vacuum_target
    maker = limits.citation("vacuum_target")
    minutes = limits.vacuum_hold.s / 60
    return (
        EvacuationStep(
            id="off",
            say="keep the unit off and locked, and never run or test its compressor "
            "under vacuum",
            citation=maker,
        ),
        EvacuationStep(
            id="pump",
            say=f"pump down to {target.micron:.0f} micron or lower; {_PUMPED}",
            until=target,
            citation=maker,
        ),
        EvacuationStep(
            id="shut-off",
            say="shut the pump off from the circuit, then stop it, and read the gauge",
            citation=maker,
        ),
        EvacuationStep(
            id="hold",
            say=f"wait {minutes:.0f} minutes; the gauge must stay at "
            f"{target.micron:.0f} micron or lower",
            until=target,
            wait=limits.vacuum_hold,
            citation=limits.citation("vacuum_hold"),
        ),
        EvacuationStep(
            id="charge",
            say="leave the vacuum unbroken, and weigh the charge in as liquid",
            citation=maker,
        ),
    )


def judge_decay(
    pulled: AbsolutePressure,
    after: AbsolutePressure,
    held: Seconds,
    limits: Limits,
    *,
    rising: bool | None = None,
) -> DecayVerdict:
    """Judge a vacuum that was left alone.

    Parameters
    ----------
    pulled, after
        The level when the pump was shut off, and now.
    held
        Time between the two.
    rising
        Whether it still rises; None where nobody watched.
    """
    target = limits.vacuum_target
    if pulled.pa > target.pa * _EDGE:
        return DecayVerdict(
            verdict="pump-on",
            reason=f"it was never down to {target.micron:.0f} micron; pump on",
        )
    if after.pa <= target.pa * _EDGE:
        return _held(held, limits)
    if after.pa > limits.vacuum_leak.pa * _EDGE or rising:
        return DecayVerdict(
            verdict="leak",
            reason="it goes on rising, which means a leak: find and repair it, "
            "pressure-test, and evacuate again",
        )
    if rising is None:
        return DecayVerdict(
            verdict="moisture-or-leak",
            reason=f"it is above {target.micron:.0f} micron; watch it ten minutes more: "
            "if it settles it is moisture, if it rises on it is a leak",
        )
    return DecayVerdict(
        verdict="moisture",
        reason="it settled too high, which means moisture: break the vacuum with dry "
        "nitrogen, and evacuate again",
    )


def _held(held: Seconds, limits: Limits) -> DecayVerdict:
    if held.s < limits.vacuum_hold.s - 1e-6:
        left = (limits.vacuum_hold.s - held.s) / 60
        return DecayVerdict(
            verdict="wait", reason=f"it holds so far; wait {left:.0f} minutes more"
        )
    return DecayVerdict(verdict="pass", reason="it held: the circuit is dry and tight")

"""One turn of the engine while it is being worked out.

Phases write what happened and what to say into a turn; each fact is folded at once,
so that the next rule of the same turn sees it. The engine hands the turn's facts and
outputs out as a :class:`Decision`; nothing else leaves it.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from companion.job.evolve import evolve
from companion.job.facts import Fact
from companion.job.outputs import Ask, Light, Output, Say, Tone, Value
from companion.job.state import Job

if TYPE_CHECKING:
    from companion.job.know import Know


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What one input led to: facts to remember, then outputs to perform."""

    facts: tuple[Fact, ...]
    outputs: tuple[Output, ...]


class Turn:
    """The job under change during one input; see the module's text.

    Attributes
    ----------
    again
        Set where the item that stands must be put once more at the end of the turn.
    """

    def __init__(self, job: Job, at: float, know: "Know") -> None:
        self.job = job
        self.at = max(at, job.at)
        self.know = know
        self.again = False
        self._facts: list[Fact] = []
        self._outputs: list[Output] = []

    def remember(self, fact: Fact) -> None:
        """Add a fact and fold it."""
        self._facts.append(fact)
        self.job = evolve(self.job, fact)

    def say(self, cue: str, /, **values: Value) -> None:
        """Say an ordinary sentence."""
        self._outputs.append(Say(cue=cue, values=values))

    def urge(self, cue: str, /, **values: Value) -> None:
        """Say something that cuts ordinary speech and does not wait for the record."""
        self._outputs.append(Say(cue=cue, values=values, urgent=True))

    def show(self, *outputs: Light | Tone | Ask) -> None:
        """Add lamps, tones or an expectation."""
        self._outputs.extend(outputs)

    @property
    def silent(self) -> bool:
        """True while nothing is to be said in this turn."""
        return not any(isinstance(each, Say) for each in self._outputs)

    def decision(self) -> Decision:
        """Close the turn."""
        return Decision(facts=tuple(self._facts), outputs=tuple(self._outputs))

"""Builders shared by the tests of the job and of what surrounds it.

A ``Site`` says what a technician would answer; a ``Play`` drives a job with it, or
with anything else, and keeps every input, decision and job on the way.
"""

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

import pytest
from hypothesis import settings

from checklists import AskStep
from companion.job.deadlines import next_deadline
from companion.job.engine import decide
from companion.job.evolve import fold
from companion.job.facts import Fact, StepAnswered, WentBack
from companion.job.inputs import Begun, Heard, Input, Pressed, Said, Ticked
from companion.job.know import Know
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Output, Say
from companion.job.questions import base_key
from companion.job.state import Closing, Job, Opening
from companion.job.turn import Decision
from companion.knowledge.quantities import Length, standard_atmosphere
from companion.shell.knowing import read_know
from companion.shell.translate import heard
from companion.shell.wording import Wording, read_wording
from speech import Heard as Sound

settings.register_profile("ci", derandomize=True, deadline=None, max_examples=30)
settings.register_profile("default", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))

SEA_LEVEL = standard_atmosphere(Length(0))
LONGEST = 400
"""More steps than any whole job here takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What a technician answers: words by key, readings by round."""

    answers: Mapping[str, str]
    rounds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def words(self, job: Job, know: Know) -> str:
        """Give the words that answer what stands, or "" where only time helps."""
        if isinstance(job.valve, Closing):
            return "valve closed"
        if isinstance(job.valve, Opening):
            return "valve opened"
        if job.pending is not None:
            # A word that was not heard surely is asked for itself once more.
            return (
                "i am ready" if job.pending.key.startswith("ready#") else "affirmative"
            )
        asked = job.asked
        if asked is None or asked.key in ("waiting", "over", "blocked"):
            return ""
        if asked.key == "halted" and (job.halted or "").startswith("method"):
            return "finish"
        if "/" in asked.key:
            return _good_words(asked.key, know)
        return self._answer(asked.key, asked.expects)

    def _answer(self, key: str, expects: str) -> str:
        known = base_key(key)
        series = self.rounds.get(known)
        if series is not None:
            mark = key.rpartition("@")[2] if "@" in key else key.rpartition("#")[2]
            mark = mark if mark == "end" else mark.rstrip("bc")
            return series[-1 if mark == "end" else min(int(mark), len(series) - 1)]
        by_kind = {"ready": "i am ready", "halted": "continue", "done": "all done"}
        return self.answers.get(known) or by_kind.get(expects, "affirmative")


def _good_words(key: str, know: Know) -> str:
    list_id, _, step_id = key.partition("/")
    step = next(s for s in know.checklists[list_id].steps if s.id == step_id)
    if not isinstance(step, AskStep):
        return "all done"
    return "affirmative" if step.good == "yes" else "negative"


_UNIT = {
    "unit-state": "cooling",
    "factory-charge": "ninety six",
    "critical-charge": "negative",
    "target-subcooling": "one zero",
    "dip-tube": "negative",
    "restrictor": "negative",
    "scale": "affirmative",
    "leak-state": "none found",
    "long-hose": "negative",
}

_ORIFICE_ROUNDS = {
    "suction-pressure": (
        "six two",
        "six six",
        "six six",
        "seven zero",
    ),
    "suction-line-temperature": (
        "six six",
        "six zero",
        "six zero",
        "five four",
    ),
    "liquid-pressure": (
        "two two zero",
        "two three zero",
        "two three zero",
        "two four zero",
    ),
    "liquid-line-temperature": (
        "one zero six",
        "one zero five",
        "one zero five",
        "one zero four",
    ),
    "cylinder-weight": ("two four zero", "two three zero"),
}
"""Readings of a fixed-orifice unit that comes up to its target in one opening."""

SITES: Mapping[str, Site] = {
    "liquid-pulses": Site(
        answers={
            **_UNIT,
            "unit-refrigerant": "four ten alpha",
            "cylinder-refrigerant": "four ten alpha",
            "metering": "thermostatic valve",
            "outdoor-temperature": "nine two",
        },
        rounds={
            "suction-pressure": (
                "one two zero",
                "one two two",
                "one two two",
                "one two four",
            ),
            "suction-line-temperature": (
                "six three",
                "six zero",
                "six zero",
                "five eight",
            ),
            "liquid-pressure": (
                "three three zero",
                "three three eight",
                "three three eight",
                "three four five",
            ),
            "liquid-line-temperature": (
                "nine nine",
                "nine eight",
                "nine eight",
                "nine five",
            ),
            "cylinder-weight": ("two four zero", "two three zero"),
        },
    ),
    "liquid-restrictor": Site(
        answers={
            **_UNIT,
            "unit-refrigerant": "r twenty two",
            "cylinder-refrigerant": "r twenty two",
            "metering": "fixed orifice",
            "restrictor": "affirmative",
            "scale": "negative",
            "outdoor-temperature": "nine zero",
            "return-wet-bulb": "six six",
        },
        rounds=_ORIFICE_ROUNDS,
    ),
    "vapor": Site(
        answers={
            **_UNIT,
            "unit-refrigerant": "r twenty two",
            "cylinder-refrigerant": "r twenty two",
            "metering": "fixed orifice",
            "outdoor-temperature": "nine zero",
            "return-wet-bulb": "six six",
        },
        rounds=_ORIFICE_ROUNDS,
    ),
    "weigh-in": Site(
        answers={
            **_UNIT,
            "unit-refrigerant": "r thirty two",
            "cylinder-refrigerant": "r thirty two",
            "metering": "thermostatic valve",
            "unit-state": "evacuated",
            "factory-charge": "eight zero",
            "charge-adder": "zero",
            "outdoor-temperature": "eight five",
        },
        rounds={
            "cylinder-weight": ("three zero zero", "two two zero"),
            "suction-pressure": ("one two zero",),
            "suction-line-temperature": ("six zero",),
            "liquid-pressure": ("three zero zero",),
            "liquid-line-temperature": ("eight four",),
        },
    ),
}
"""One unit for each of the four methods, short of charge or empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One input, when it was taken, what it led to, and the job before and after."""

    event: Input
    at: float
    before: Job
    decision: Decision
    after: Job


class Play:
    """A job driven by hand; every step on the way is kept."""

    def __init__(
        self, know: Know, wording: Wording, job: Job | None = None, at: float = 0.0
    ) -> None:
        self.know = know
        self.wording = wording
        self.job = Job() if job is None else job
        self.at = max(at, self.job.at)
        self.facts: list[Fact] = []
        self.steps: list[Taken] = []

    def begin(self) -> "Play":
        self.give(Begun(at=self.at, job="j1", ambient=SEA_LEVEL))
        return self

    def give(self, event: Input) -> Decision:
        """Hand one input to the engine and fold what it decides."""
        before = self.job
        decision = decide(before, event, self.know)
        self.job = fold(decision.facts, before)
        self.at = max(self.at, event.at)
        self.facts += decision.facts
        self.steps.append(
            Taken(
                event=event,
                at=self.at,
                before=before,
                decision=decision,
                after=self.job,
            )
        )
        return decision

    def hear(self, words: str, *, sure: bool = True, after: float = 1.0) -> Decision:
        """Type words, understood as the moment allows."""
        sound = Sound(
            words=words, confidence=1, sure=sure, engine="typed", begin=0, end=0
        )
        return self.give(
            heard(
                self.at + after,
                sound,
                expected_now(self.job),
                self.wording,
                self.know.knowledge.catalogue.designations,
            )
        )

    def said(self, said: Said, *, sure: bool = True, after: float = 1.0) -> Decision:
        """Hand in something understood, whatever is expected."""
        return self.give(Heard(at=self.at + after, said=said, words="", sure=sure))

    def press(self, button: str, after: float = 1.0) -> Decision:
        return self.give(Pressed(at=self.at + after, button=button))

    def tick(self) -> Decision:
        """Let time run to the engine's next deadline."""
        due = next_deadline(self.job)
        assert due is not None, "nothing to wait for"
        return self.give(Ticked(at=max(due, self.at)))

    def answer(self, site: Site) -> Decision:
        """Answer what stands as the site does, or let time run."""
        words = site.words(self.job, self.know)
        return self.hear(words) if words else self.tick()

    def walk(self, site: Site, until: Callable[[Job], bool] | None = None) -> "Play":
        """Answer as the site does until a moment, or until the job is finished."""
        for _ in range(LONGEST):
            if self.job.finished or (until is not None and until(self.job)):
                return self
            self.answer(site)
        raise AssertionError(f"the job does not get on: {self.job}")

    def walk_to(self, site: Site, key: str) -> "Play":
        """Answer until something is asked."""
        return self.walk(site, lambda job: asked_key(job) == key)


def asked_key(job: Job) -> str:
    """Give the key of what stands, or ""."""
    return "" if job.asked is None else job.asked.key


def hoses_on(facts: Iterable[Fact]) -> bool:
    """Tell from the facts whether a hose may be on the unit."""
    on = False
    for fact in facts:
        match fact:
            case StepAnswered(key="close-out/hoses-off", result="passed"):
                on = False
            case WentBack(key="close-out/hoses-off"):
                on = True
            case StepAnswered(result="passed" | "noted") if "connect/" in fact.key:
                on = True
            case _:
                pass
    return on


def cues(decision: Decision) -> list[str]:
    """Give the cues said, in order."""
    return [each.cue for each in decision.outputs if isinstance(each, Say)]


def asks(decision: Decision) -> list[str]:
    """Give what is expected from now on, in order."""
    return [each.expectation for each in decision.outputs if isinstance(each, Ask)]


def kinds(decision: Decision) -> list[str]:
    """Give the kinds of the facts, in order."""
    return [each.kind for each in decision.facts]


def urgent_kinds(outputs: tuple[Output, ...]) -> set[str]:
    """Give the kinds of the urgent outputs."""
    return {each.kind for each in outputs if each.urgent}


@pytest.fixture(scope="session")
def know() -> Know:
    return read_know()


@pytest.fixture(scope="session")
def wording() -> Wording:
    return read_wording("us")


@pytest.fixture(scope="session")
def play(know: Know, wording: Wording) -> Callable[..., Play]:
    """Give a maker of begun plays."""

    def make(job: Job | None = None) -> Play:
        made = Play(know, wording, job)
        return made if job is not None else made.begin()

    return make


@pytest.fixture(params=sorted(SITES))
def site(request: pytest.FixtureRequest) -> Site:
    """Give each site in turn."""
    return SITES[request.param]

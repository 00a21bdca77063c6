"""Sequences of inputs, and jobs brought to every moment, for the promises.

``RULES_DEPTH=20 HYPOTHESIS_PROFILE=default python -m pytest tests/rules`` searches
twenty times longer, and differently each time.
"""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import get_args

import pytest
from hypothesis import settings
from hypothesis import strategies as st

from companion.job.amounts import amount
from companion.job.deadlines import next_deadline
from companion.job.evolve import fold
from companion.job.facts import Fact, OpenCalled
from companion.job.inputs import (
    Button,
    ControlWord,
    DeviceFound,
    DeviceLost,
    Heard,
    Input,
    Pressed,
    Resumed,
    Said,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
    SaidWrongUnit,
    Sampled,
    Ticked,
)
from companion.job.know import Know
from companion.job.state import Closed, Job, Open, Opening
from companion.knowledge.quantities import (
    GaugePressure,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
)
from companion.shell.wording import Wording
from tests.conftest import SITES, Play, Site, asked_key

DEPTH = int(os.environ.get("RULES_DEPTH", "1"))
"""How many times the usual number of examples is tried; for a long search by hand."""
MOST_BACK = 60
"""More steps back than any wrong answer needs."""
MOST_WAKES = 2000
"""More wakes than any pause between two inputs can need."""


def examples(count: int) -> settings:
    """Ask for so many examples, or more where a longer search is asked for."""
    return settings(max_examples=count * DEPTH)


class Start:
    """A job on the way: how it got there, and how its site answers."""

    def __init__(self, method: str, moment: str, facts: tuple[Fact, ...]) -> None:
        self.method = method
        self.moment = moment
        self.facts = facts
        self.site: Site = SITES[method]

    def __repr__(self) -> str:
        return f"Start({self.method} at {self.moment})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """Something that happens ``after`` seconds: what it is, by name, and with what."""

    what: str
    after: float
    said: Said | None = None
    sure: bool = True
    name: str = ""
    readings: tuple[tuple[str, Quantity], ...] = ()


class Run(Play):
    """A play in which the engine is woken at every moment it asks for."""

    def __init__(self, know: Know, wording: Wording, start: Start) -> None:
        super().__init__(know, wording, fold(start.facts))
        self.site = start.site
        self.start = start
        self.facts = list(start.facts)

    def wake_until(self, moment: float) -> None:
        for _ in range(MOST_WAKES):
            due = next_deadline(self.job)
            if due is None or due >= moment:
                return
            self.give(Ticked(at=max(due, self.at)))
        raise AssertionError(f"woken for ever at {next_deadline(self.job)}: {self.job}")

    def move(self, move: Move) -> None:
        at = self.at + move.after
        self.wake_until(at)
        if move.what == "answer":
            self._answer(move, at)
            return
        for event in self._events(move, at):
            self.give(event)

    def _answer(self, move: Move, at: float) -> None:
        words = self.site.words(self.job, self.know)
        if words:
            self.hear(words, sure=move.sure, after=at - self.at)
        elif next_deadline(self.job) is not None:
            self.tick()

    def _events(self, move: Move, at: float) -> tuple[Input, ...]:
        found = sorted(self.job.missing) or ["board"]
        made: dict[str, tuple[Input, ...]] = {
            "press": (Pressed(at=at, button=move.name),),
            "sense": (Sampled(at=at, readings=dict(move.readings)),),
            "lose": (DeviceLost(at=at, device=move.name, reason="gone"),),
            "find": tuple(DeviceFound(at=at, device=each) for each in found),
            "resume": (Resumed(at=at),),
            "tick": (Ticked(at=at),),
        }
        if move.what == "limit":
            made["limit"] = self._at_the_limit(at)
        if move.said is not None:
            heard = Heard(at=at, said=move.said, words="words", sure=move.sure)
            made["say"] = (heard,)
        return made[move.what]

    def _at_the_limit(self, at: float) -> tuple[Input, ...]:
        """Call out exactly the limit of the opening, where there is one."""
        valve = self.job.valve
        plan = valve.plan if isinstance(valve, Open) else valve
        if not isinstance(plan, Opening):
            return ()
        limits = (plan.ceiling, plan.stop_weight)
        return tuple(
            Heard(at=at, said=SaidQuantity(quantity=top.quantity), words="", sure=True)
            for top in limits
            if top is not None
        )[:1]

    def finish(self) -> None:
        """Mend what is missing, then answer as the site does until the job is over.

        Where the right answer is refused again and again, because an earlier one was
        wrong, that one is taken back.
        """
        for device in sorted(self.job.missing):
            self.give(DeviceFound(at=self.at, device=device))
        for _ in range(MOST_BACK):
            if self.job.finished:
                return
            self.walk(
                self.site, lambda job: job.asked is not None and job.asked.tries > 4
            )
            if not self.job.finished:
                self.hear("go back")
        raise AssertionError(f"going back does not help: {self.job}")

    def settle(self) -> None:
        """Let time run until the valve is at least called closed."""
        for _ in range(MOST_WAKES):
            if self.job.valve.kind not in ("opening", "open"):
                return
            self.tick()


_PSI, _F, _OZ = GaugePressure.from_psi, Temperature.from_f, Mass.from_oz
QUANTITIES: tuple[Quantity, ...] = (
    *map(_PSI, (-14, 0, 62, 70, 72, 120, 129, 131, 134, 200, 330, 700)),
    *map(_F, (-20, 40, 54, 63, 66, 78, 92, 99, 130)),
    *map(_OZ, (0, 80, 219, 220, 240, 300)),
    TemperatureDifference.from_f(10),
)
OPTIONS = ("fixed-orifice", "cooling", "off-charged", "repaired", "small", "finish")
NAMES = ("R-410A", "R-22", "R-32", "R-290", "R-12", "R-9999")
DEVICES = ("record", "speaker", "microphone", "recogniser", "board", "sensors")
SENSED = ("suction-pressure", "liquid-pressure", "cylinder-weight")

_afters = st.sampled_from((1.0, 0.3, 1.5, 0.0, 2.0, 4.0, 9.0, -3.0))
_words = st.sampled_from(get_args(ControlWord))
_said: st.SearchStrategy[Said] = st.one_of(
    st.builds(SaidControl, word=_words),
    st.builds(SaidQuantity, quantity=st.sampled_from(QUANTITIES)),
    st.builds(SaidName, designation=st.sampled_from(NAMES)),
    st.builds(SaidChoice, option=st.sampled_from(OPTIONS)),
    st.just(SaidUnclear()),
    st.just(SaidNameUnclear(candidates=("R-410A", "R-410B"))),
    st.just(SaidOutOfRange(value="900", low="-14", high="700")),
    st.just(SaidWrongUnit(unit="ounces", wanted="psi")),
)
_at_the_valve = st.builds(
    SaidControl, word=st.sampled_from(("closed", "opened", "ready", "noise", "close"))
)
_pressures = st.builds(
    SaidQuantity, quantity=st.sampled_from([*map(_PSI, (122, 129, 131, 70, 75, 80))])
)
_readings = st.lists(
    st.tuples(st.sampled_from(SENSED), st.sampled_from(QUANTITIES)), max_size=3
).map(lambda pairs: tuple(_right_kind(pairs)))


def _right_kind(pairs: Sequence[tuple[str, Quantity]]) -> list[tuple[str, Quantity]]:
    return [
        (name, value)
        for name, value in pairs
        if isinstance(value, Mass if name == "cylinder-weight" else GaugePressure)
    ]


def _move(
    *what: str,
    after: st.SearchStrategy[float] = _afters,
    **fields: st.SearchStrategy[object],
) -> st.SearchStrategy[Move]:
    return st.builds(Move, what=st.sampled_from(what), after=after, **fields)


_stops = st.sampled_from(("stop", "close", "noise", "back", "continue"))
_trouble = st.one_of(
    _move("say", said=st.builds(SaidControl, word=_stops), sure=st.booleans()),
    _move("say", said=_said, sure=st.booleans()),
    _move("say", said=_at_the_valve, sure=st.booleans()),
    _move("say", said=_pressures, sure=st.booleans()),
    _move("press", name=st.sampled_from(get_args(Button))),
    _move("sense", readings=_readings),
    _move("lose", name=st.sampled_from(DEVICES)),
    _move("find", "find", "find", "resume"),
    _move("tick", after=st.sampled_from((1.0, 7.0, 40.0))),
)
_answer = Move(what="answer", after=1.0)
_unsure = _move("answer", after=st.just(1.0)).map(
    lambda move: replace(move, sure=False)
)


def _mixed(
    most_answers: int, others: st.SearchStrategy[Move]
) -> st.SearchStrategy[list[Move]]:
    stretch = st.tuples(st.integers(min_value=0, max_value=most_answers), others)
    return st.lists(stretch, min_size=2, max_size=8).map(
        lambda stretches: [
            move for count, last in stretches for move in (*[_answer] * count, last)
        ]
    )


moves = _mixed(8, st.one_of(_trouble, _unsure))
"""Any inputs, with enough right answers between them for the job to get on."""
valve_moves = _mixed(
    2,
    st.one_of(
        _move("say", said=_pressures, sure=st.booleans()),
        _move("limit"),
        _move("sense", readings=_readings),
        _move("say", said=_at_the_valve, sure=st.booleans()),
        _trouble.map(lambda move: move),
    ),
)
"""Inputs as they come at an open valve: readings, short words, and any others."""


_amounts = st.sampled_from((60.0, 72.5, 130.0, 400.0)).map(_PSI).map(amount)
_seconds = st.sampled_from((1.0, 2.0, 3.5, 8.0, 14.0, 59.0, 119.0))
plans = st.builds(
    OpenCalled,
    at=st.just(0.0),
    opening=st.just(1),
    planned_s=_seconds,
    limit_s=_seconds,
    silence_s=_seconds,
    base=st.none() | _amounts,
    ceiling=st.none() | _amounts,
    stop_weight=st.none() | st.just(amount(_OZ(220))),
)
"""Openings planned in any way, also in ways that are never planned."""


def starts_of(know: Know, wording: Wording) -> tuple[Start, ...]:
    """Give a whole job of each method, cut once at every kind of moment."""
    found = {}
    for method, site in SITES.items():
        played = Play(know, wording).begin().walk(site)
        facts: tuple[Fact, ...] = ()
        for step in played.steps:
            facts += step.decision.facts
            moment = moment_of(step.after)
            start = Start(method=method, moment=moment, facts=facts)
            found.setdefault((method, moment), start)
    return tuple(found.values())


def moment_of(job: Job) -> str:
    """Name the moment a job is at: the valve, or the list or key that stands."""
    if not isinstance(job.valve, Closed):
        return job.valve.kind
    pending = "read-back " if job.pending is not None else ""
    return pending + asked_key(job).partition("/")[0]


@pytest.fixture(scope="session")
def starts(know: Know, wording: Wording) -> tuple[Start, ...]:
    return starts_of(know, wording)


Runner = Callable[[st.DataObject, list[Move]], Run]


def _runner(know: Know, wording: Wording, starts: Sequence[Start]) -> Runner:
    def go(data: st.DataObject, made: list[Move]) -> Run:
        played = Run(know, wording, data.draw(st.sampled_from(starts), label="start"))
        for move in made:
            played.move(move)
        return played

    return go


@pytest.fixture(scope="session")
def run(know: Know, wording: Wording, starts: tuple[Start, ...]) -> Runner:
    """Give a player of moves from a drawn moment of a drawn job."""
    return _runner(know, wording, starts)


@pytest.fixture(scope="session")
def run_charging(know: Know, wording: Wording, starts: tuple[Start, ...]) -> Runner:
    """Give the same from moments shortly before, in or after an opening."""
    near = [each for each in starts if each.facts[-1].at >= _first_ready(starts, each)]
    valve = ("ready#1", "ready#2", "opening", "open")
    at_the_valve = [each for each in near if each.moment in valve]
    return _runner(know, wording, [*near, *at_the_valve * 4])


@pytest.fixture(scope="session")
def run_reading(know: Know, wording: Wording, starts: tuple[Start, ...]) -> Runner:
    """Give the same from moments between the readings of a round, or the weights."""
    marks = ("@", "#", "waiting")
    reading = [each for each in starts if any(mark in each.moment for mark in marks)]
    return _runner(know, wording, reading)


@pytest.fixture(scope="session")
def run_opening(
    know: Know, wording: Wording, starts: tuple[Start, ...]
) -> Callable[[OpenCalled, list[Move]], Run]:
    """Give a player of moves from an opening planned in any way."""
    ready = next(each for each in starts if each.moment == "ready#1")

    def go(plan: OpenCalled, made: list[Move]) -> Run:
        called = replace(plan, at=ready.facts[-1].at)
        facts = (*ready.facts, called)
        played = Run(know, wording, Start(ready.method, "opening", facts))
        for move in made:
            played.move(move)
        return played

    return go


def _first_ready(starts: Sequence[Start], start: Start) -> float:
    return next(
        each.facts[-1].at
        for each in starts
        if each.method == start.method and each.moment.startswith("ready")
    )

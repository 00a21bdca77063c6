"""Folding is the only way a job changes: one table entry, or more, for each fact."""

from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pytest

from companion.job.amounts import Amount, amount
from companion.job.dial import Dial
from companion.job.evolve import REACTION_S, evolve, fold
from companion.job.facts import (
    FACT_TYPES,
    AnswerAccepted,
    AnswerDenied,
    AnswerDoubted,
    AnswerRefused,
    AnswerWeighed,
    Candidate,
    ChargingEnded,
    CloseCalled,
    CloseRepeated,
    CloseReported,
    Continued,
    DeviceCameBack,
    DeviceWentMissing,
    DialTurned,
    Explained,
    Fact,
    Halted,
    HandAdvised,
    JobFinished,
    JobStarted,
    OpenReadingSeen,
    OpenReported,
    OptionAnswer,
    PowerReturned,
    QuestionAsked,
    SensorDisputed,
    SensorSettled,
    SilenceNoticed,
    StepAnswered,
    SuctionWatched,
    ValvePassed,
    WaitEnded,
    WaitStarted,
    WentBack,
)
from companion.job.state import (
    Asked,
    Closed,
    Closing,
    Job,
    Open,
    Opening,
    Pending,
    Seen,
    Waiting,
    Weighed,
)
from tests.unit.companion.job.conftest import (
    PSI,
    difference,
    job_of,
    judged,
    method,
    opening_plan,
    pulse,
)

AMBIENT = Amount(of="absolute-pressure", si=101325.0)
ASKED = Asked(key="scale", expects="yes-no", tries=1, heard_at=5.0, silences=2)
YES = OptionAnswer(option="yes")
SAID_YES = Candidate(answer=YES, weight=2.0)
PENDING = Pending(key="scale", answer=YES, words="yes", doubt="")
WAITING = Waiting(purpose="settle", until=95.0)
LOW, HIGH = amount(PSI(122)), amount(PSI(127))


def step(result: str, answer: str = "no") -> StepAnswered:
    return StepAnswered(
        at=20, key="leak/leak-history", revision=1, answer=answer, result=result
    )


CHANGES: list[tuple[dict[str, Any], Fact, dict[str, Any]]] = [
    # what the job is, the fact at 20 s -> what it is then
    (
        {},
        JobStarted(at=20, job="j2", ambient=AMBIENT, units="si"),
        {"id": "j2", "units": "si", "ambient": AMBIENT},
    ),
    (
        {},
        QuestionAsked(at=20, key="scale", expects="yes-no", tries=2),
        {"asked": replace(ASKED, tries=2, heard_at=20, silences=0)},
    ),
    (
        {"asked": ASKED},
        SilenceNoticed(at=20, key="scale", times=3),
        {"asked": replace(ASKED, heard_at=20, silences=3)},
    ),
    ({}, SilenceNoticed(at=20, key="scale", times=3), {"asked": None}),
    (
        {"asked": ASKED},
        DialTurned(at=20, key="scale", page="menu", cursor=2, entered=""),
        {
            "asked": replace(ASKED, heard_at=20, silences=0),
            "dial": Dial(key="scale", page="menu", cursor=2),
        },
    ),
    (
        {"asked": ASKED},
        Explained(at=20, what="why"),
        {"asked": replace(ASKED, heard_at=20, silences=0)},
    ),
    (
        {"asked": ASKED},
        AnswerDoubted(at=20, key="scale", answer=YES, words="yes", doubt=""),
        {"pending": PENDING, "asked": replace(ASKED, heard_at=20, silences=0)},
    ),
    (
        {"asked": ASKED, "pending": PENDING},
        AnswerDenied(at=20, key="scale"),
        {"pending": None, "weighed": Weighed(key="scale", denied=(YES,))},
    ),
    (
        {"asked": ASKED},
        AnswerWeighed(
            at=20, key="scale", candidates=(SAID_YES,), rest=-1.0, words="yes"
        ),
        {
            "weighed": Weighed(key="scale", candidates=(SAID_YES,), rest=-1.0),
            "asked": replace(ASKED, heard_at=20, silences=0),
        },
    ),
    (
        {"weighed": Weighed(key="scale", candidates=(SAID_YES,), rest=-1.0)},
        AnswerWeighed(
            at=20, key="scale", candidates=(SAID_YES,), rest=-1.0, words="yes"
        ),
        {
            "weighed": Weighed(
                key="scale",
                candidates=(Candidate(answer=YES, weight=4.0),),
                rest=-2.0,
            )
        },
    ),
    (
        {"watched": (Seen(at=1, pa=8e5, live=True),)},
        SuctionWatched(at=20, pressure=amount(PSI(0).__class__(9e5))),
        {
            "watched": (
                Seen(at=1, pa=8e5, live=True),
                Seen(at=20, pa=9e5, live=True),
            )
        },
    ),
    (
        {"waiting": Waiting(purpose="settle", until=99), "settled": True},
        ValvePassed(at=20),
        {"waiting": None, "settled": False, "passing": True},
    ),
    (
        {"weighed": Weighed(key="dip-tube", candidates=(SAID_YES,), rest=-1.0)},
        AnswerWeighed(at=20, key="scale", candidates=(), rest=-1.0, words=""),
        {"weighed": Weighed(key="scale", rest=-1.0)},
    ),
    (
        {"pending": PENDING},
        AnswerRefused(at=20, key="scale", reason="out-of-range", words=""),
        {"pending": None},
    ),
    (
        {"pending": PENDING},
        AnswerRefused(at=20, key="scale", reason="unclear", words=""),
        {"pending": PENDING},
    ),
    (
        {"asked": ASKED, "pending": PENDING},
        AnswerAccepted(at=20, key="scale", answer=YES, words="yes", by="voice"),
        {
            "answers": {"scale": YES},
            "order": ("scale",),
            "pending": None,
            "asked": None,
            "weighed": None,
        },
    ),
    (
        {},
        step("passed"),
        {"answers": {"leak/leak-history": OptionAnswer(option="no")}, "notes": ()},
    ),
    ({}, step("noted", "yes"), {"notes": ("leak/leak-history",)}),
    ({"asked": ASKED}, step("fix"), {"answers": {}, "order": ()}),
    ({"asked": ASKED}, step("stop"), {"answers": {}, "order": ()}),
    ({"asked": ASKED}, method(), {"method": method(), "asked": None}),
    (
        {"asked": ASKED},
        WaitStarted(at=20, purpose="settle", seconds=75),
        {"waiting": WAITING, "asked": None},
    ),
    (
        {"waiting": WAITING},
        WaitEnded(at=20, purpose="settle"),
        {"waiting": None, "settled": True, "final_settled": False},
    ),
    (
        {"waiting": WAITING},
        WaitEnded(at=20, purpose="final"),
        {"waiting": None, "settled": True, "final_settled": True},
    ),
    (
        {"pulses": (pulse(1),), "interruptions": 2, "order": ("a",)},
        judged(0),
        {"rounds": (judged(0),), "judged": (1, 2)},
    ),
    (
        {"pending": PENDING, "asked": ASKED, "waiting": WAITING},
        Halted(at=20, reason="noise"),
        {"halted": "noise", "pending": None, "asked": None, "waiting": None},
    ),
    ({"halted": "noise"}, Continued(at=20), {"halted": None, "asked": None}),
    (
        {"halted": "asked", "waiting": WAITING, "order": ("a",)},
        ChargingEnded(at=20, outcome="target"),
        {"charging_ended": "target", "halted": None, "waiting": None, "order": ()},
    ),
    (
        {"asked": ASKED},
        JobFinished(at=20, outcome="target", added=None),
        {"outcome": "target", "asked": None},
    ),
    (
        {"missing": frozenset({"a"})},
        DeviceWentMissing(at=20, device="b", reason=""),
        {"missing": frozenset({"a", "b"})},
    ),
    (
        {"missing": frozenset({"a", "b"})},
        DeviceCameBack(at=20, device="b"),
        {"missing": frozenset({"a"})},
    ),
    (
        {"disputed": MappingProxyType({"a": AMBIENT})},
        SensorDisputed(at=20, reading="b", said=AMBIENT, sensed=AMBIENT),
        {"disputed": {"a": AMBIENT, "b": AMBIENT}},
    ),
    (
        {"disputed": MappingProxyType({"a": AMBIENT, "b": AMBIENT})},
        SensorSettled(at=20, reading="b", believed=False),
        {"disputed": {"a": AMBIENT}, "disbelieved": frozenset({"b"})},
    ),
    (
        {"disbelieved": frozenset({"b"})},
        SensorSettled(at=20, reading="b", believed=True),
        {"disputed": {}, "disbelieved": frozenset()},
    ),
    (
        {
            "pending": PENDING,
            "waiting": WAITING,
            "settled": True,
            "final_settled": True,
        },
        PowerReturned(at=20),
        {
            "pending": None,
            "waiting": None,
            "settled": False,
            "final_settled": False,
            "interruptions": 1,
        },
    ),
]


@pytest.mark.parametrize(("before", "fact", "after"), CHANGES)
def test_what_a_fact_changes(
    before: dict[str, Any], fact: Fact, after: dict[str, Any]
) -> None:
    job = evolve(job_of(**before) if "order" not in before else _with(before), fact)
    for name, value in after.items():
        assert getattr(job, name) == value, name


def _with(fields: dict[str, Any]) -> Job:
    return replace(job_of(), **fields)


def test_every_fact_moves_time_on_and_never_back() -> None:
    kinds = {type(fact) for _, fact, _ in CHANGES}
    at_the_valve = {"open-", "close-"}
    others = {
        fact
        for fact in FACT_TYPES
        if fact is not HandAdvised
        and not fact.__dataclass_fields__["kind"].default.startswith(
            tuple(at_the_valve)
        )
    }
    assert others == kinds | {WentBack}
    for _, fact, _ in CHANGES:
        assert evolve(job_of(at=7.0), fact).at == max(7.0, fact.at)
        assert evolve(job_of(at=99.0), fact).at == 99.0


def test_going_back_forgets_the_answer_its_note_and_what_rests_on_it() -> None:
    job = job_of(
        {"metering": "unknown", "scale": "yes"},
        method=method(),
        notes=("scale",),
        halted="asked",
    )
    after = evolve(job, WentBack(at=20, key="scale"))
    assert set(after.answers) == {"metering"}
    assert (after.order, after.notes, after.method) == (("metering",), (), None)
    assert after.halted is None


def test_going_back_over_a_step_leaves_the_method() -> None:
    job = job_of({"connect/hoses": "yes"}, method=method())
    assert evolve(job, WentBack(at=20, key="connect/hoses")).method == method()


def test_a_power_cut_forgets_the_round_under_way_and_the_next_base() -> None:
    answers = {
        "suction-pressure@0": PSI(120),
        "suction-pressure@1": PSI(121),
        "suction-pressure@11": PSI(121),
        "suction-pressure#1": PSI(118),
        "suction-pressure#2": PSI(119),
        "cylinder-weight#1": PSI(1),
        "scale": "yes",
    }
    job = job_of(answers, rounds=(judged(0),), pulses=(pulse(1),))
    after = evolve(job, PowerReturned(at=20))
    kept = set(answers) - {"suction-pressure@1", "suction-pressure#2"}
    assert set(after.answers) == set(after.order) == kept


OPENED = opening_plan(at=100.0)


def opening(**fields: Any) -> Job:
    return fold([OPENED], job_of({"scale": "yes"}, settled=True, **fields))


def test_from_the_word_open_the_valve_counts_as_open() -> None:
    job = opening(final_settled=True, asked=ASKED)
    assert isinstance(job.valve, Opening)
    assert (job.valve.number, job.valve.called_at) == (1, 100.0)
    assert job.valve.heard_at == 100.0 + REACTION_S
    assert (job.settled, job.final_settled) == (False, False)
    assert (job.order, job.asked) == ((), None)


def test_the_highest_pressure_is_kept_from_opening_to_pulse() -> None:
    facts: list[Fact] = [
        OpenReadingSeen(at=101, opening=1, reading=HIGH, by="voice"),
        OpenReported(at=102, opening=1),
        OpenReadingSeen(at=103, opening=1, reading=LOW, by="voice"),
    ]
    job = fold(facts, opening())
    assert isinstance(job.valve, Open)
    assert (job.valve.peak, job.valve.last, job.valve.heard_at) == (HIGH, LOW, 103)
    job = fold(
        [
            CloseCalled(at=106, opening=1, reason="planned"),
            CloseRepeated(at=108, opening=1, times=1),
        ],
        job,
    )
    assert isinstance(job.valve, Closing)
    assert (job.valve.called_at, job.valve.repeated_at) == (106, 108)
    assert (job.valve.repeats, job.valve.open_s) == (1, 4.0)
    job = evolve(job, CloseReported(at=109, opening=1, by="voice"))
    assert job.valve == Closed()
    (done,) = job.pulses
    assert (done.number, done.ended_at, done.open_s) == (1, 109, 4.0)
    assert (done.base, done.peak, done.reason) == (OPENED.base, HIGH, "planned")


def test_a_weight_is_no_pressure() -> None:
    weight = Amount(of="mass", si=6.0)
    seen = OpenReadingSeen(at=101, opening=1, reading=weight, by="voice")
    job = evolve(opening(), seen)
    assert isinstance(job.valve, Opening)
    assert (job.valve.peak, job.valve.last) == (None, weight)


def test_never_reported_open_it_counts_from_the_word() -> None:
    job = fold([CloseCalled(at=110, opening=1, reason="planned")], opening())
    assert isinstance(job.valve, Closing)
    assert job.valve.open_s == 10.0


def test_a_second_close_call_keeps_how_long_it_was_open() -> None:
    job = fold(
        [
            CloseCalled(at=110, opening=1, reason="planned"),
            CloseCalled(at=500, opening=1, reason="restart"),
        ],
        opening(),
    )
    assert isinstance(job.valve, Closing)
    assert (job.valve.open_s, job.valve.reason) == (10.0, "restart")


def test_a_close_call_takes_back_what_was_being_asked() -> None:
    job = job_of(pending=PENDING, asked=ASKED)
    after = evolve(job, CloseCalled(at=110, opening=0, reason="asked"))
    assert (after.pending, after.asked) == (None, None)


def test_closed_clears_a_half_heard_closed() -> None:
    half = Pending(key="valve-closed", answer=YES, words="closed", doubt="unsure")
    job = replace(
        fold([CloseCalled(at=110, opening=1, reason="planned")], opening()),
        pending=half,
    )
    assert evolve(job, CloseReported(at=111, opening=1, by="button")).pending is None


def test_closing_what_was_never_opened_is_an_interruption_and_no_pulse() -> None:
    facts = [
        CloseCalled(at=110, opening=1, reason="unsure"),
        CloseReported(at=111, opening=1, by="voice"),
    ]
    job = fold(facts, job_of(pulses=(pulse(1),), settled=True))
    assert len(job.pulses) == 1
    assert (job.interruptions, job.settled) == (1, False)


@pytest.mark.parametrize(
    "fact",
    [
        OpenReported(at=20, opening=1),
        OpenReadingSeen(at=20, opening=1, reading=LOW, by="voice"),
        CloseRepeated(at=20, opening=1, times=1),
        CloseReported(at=20, opening=1, by="voice"),
    ],
)
def test_facts_of_an_opening_mean_nothing_to_a_closed_valve(fact: Fact) -> None:
    job = job_of(settled=True)
    assert evolve(job, fact) == replace(job, at=20)


def test_folding_goes_on_where_it_was_left() -> None:
    facts: list[Fact] = [OPENED, CloseCalled(at=110, opening=1, reason="planned")]
    assert fold(facts) == fold(facts[1:], fold(facts[:1]))
    assert fold([]) == Job()


def test_a_difference_is_not_taken_for_a_pressure() -> None:
    seen = OpenReadingSeen(at=101, opening=1, reading=difference(5), by="voice")
    job = evolve(opening(), seen)
    assert isinstance(job.valve, Opening)
    assert job.valve.peak is None


def test_what_the_hand_was_told_is_kept_from_opening_to_pulse() -> None:
    facts: list[Fact] = [
        HandAdvised(at=101, opening=1, advice="open-more"),
        OpenReported(at=102, opening=1),
        HandAdvised(at=103, opening=1, advice="ease-off"),
        OpenReadingSeen(at=104, opening=1, reading=LOW, by="sensor"),
        CloseCalled(at=106, opening=1, reason="planned"),
        CloseRepeated(at=109, opening=1, times=1),
        CloseReported(at=110, opening=1, by="voice"),
    ]
    job = fold(facts, opening())
    (done,) = job.pulses
    assert done.advised == ("open-more", "ease-off")
    assert [(each.at, each.pa, each.live) for each in done.seen] == [
        (104, LOW.si, True)
    ]
    assert (done.open_called_at, done.opened_at) == (100.0, 102)
    assert (done.close_called_at, done.repeats) == (106, 1)
    assert job.disturbed_at == 110
    told = HandAdvised(at=120, opening=1, advice="ease-off")
    assert evolve(job, told) == replace(job, at=120)


@pytest.mark.parametrize("key", ["suction-pressure@1", "suction-pressure@1b"])
def test_going_back_over_a_judged_round_takes_its_judgement_back(key: str) -> None:
    job = job_of(
        {"suction-pressure@0": PSI(120), key: PSI(121)},
        rounds=(judged(0), judged(1, "again", finding="second-look")),
        judged=(1, 0),
        waiting=Waiting(purpose="settle", until=99.0),
    )
    after = evolve(job, WentBack(at=20, key=key))
    assert after.rounds == (judged(0),)
    assert after.judged == (-1, -1)
    assert after.waiting is None
    assert after.settled
    assert set(after.answers) == {"suction-pressure@0"}


def test_going_back_over_an_older_round_leaves_the_judgements() -> None:
    job = job_of(
        {"suction-pressure@0": PSI(120)}, rounds=(judged(0), judged(1)), judged=(1, 0)
    )
    after = evolve(job, WentBack(at=20, key="suction-pressure@0"))
    assert after.rounds == job.rounds


MOVING = ["second-look", "still-moving", "near-target", "not-fallen", "flood-back"]


@pytest.mark.parametrize("finding", [*MOVING, "overcharged", "no-rise"])
def test_a_round_to_be_looked_at_again_later_unsettles(finding: str) -> None:
    found = judged(1, "again", finding=finding)
    after = evolve(job_of(settled=True), found)
    assert after.settled == (finding not in MOVING)

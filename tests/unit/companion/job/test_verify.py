from dataclasses import replace
from typing import Any

import pytest

from companion.job.facts import RoundJudged
from companion.job.know import Know
from companion.job.state import Job
from companion.job.turn import Turn
from companion.job.verify import after_weigh_in_target, judge_round, measure
from companion.knowledge.quantities import Quantity
from tests.conftest import cues
from tests.unit.companion.job.conftest import (
    DF,
    OZ,
    PSI,
    F,
    difference,
    job_of,
    judged,
    method,
    pulse,
)

VALVE: dict[str, Any] = {
    "unit-refrigerant": "R-410A",
    "unit-state": "cooling",
    "metering": "thermostatic",
    "target-subcooling": DF(10),
    "outdoor-temperature": F(92),
}
ORIFICE: dict[str, Any] = {
    "unit-refrigerant": "R-22",
    "unit-state": "cooling",
    "metering": "fixed-orifice",
    "outdoor-temperature": F(90),
    "return-wet-bulb": F(66),
}
AIM_SC, AIM_SH = DF(10).k, DF(13).k


def readings(
    number: int, suction: float, line: float, liquid: float, liquid_line: float
) -> dict[str, Quantity]:
    return {
        f"suction-pressure@{number}": PSI(suction),
        f"suction-line-temperature@{number}": F(line),
        f"liquid-pressure@{number}": PSI(liquid),
        f"liquid-line-temperature@{number}": F(liquid_line),
    }


def by_subcooling(subcooling_f: float, number: int = 0, **fields: Any) -> Job:
    """Make a job whose round shows this subcooling: at 345 psig the bubble point of
    R-410A is 105.7 F."""
    values = readings(number, 120, 58, 345, 105.67 - subcooling_f)
    chosen = method(stop_by="subcooling", target_k=AIM_SC)
    return job_of({**VALVE, **values}, method=chosen, **fields)


def by_superheat(superheat_f: float, number: int = 0, **fields: Any) -> Job:
    """The same for superheat: at 70 psig the dew point of R-22 is 41.0 F."""
    values = readings(number, 70, 41.0 + superheat_f, 230, 102)
    chosen = method("vapor", stop_by="superheat", target_k=AIM_SH)
    return job_of({**ORIFICE, **values}, method=chosen, **fields)


def verdict(know: Know, job: Job, purpose: str) -> tuple[RoundJudged, list[str]]:
    turn = Turn(job, 50.0, know)
    judge_round(turn, purpose)
    (found,) = turn.decision().facts
    assert isinstance(found, RoundJudged)
    return found, cues(turn.decision())


def test_superheat_is_above_dew_and_subcooling_below_bubble(know: Know) -> None:
    found = measure(by_superheat(13), know, 0)
    assert found.superheat is not None
    assert found.superheat.value.f == pytest.approx(13, abs=0.1)
    found = measure(by_subcooling(10), know, 0)
    assert found.subcooling is not None
    assert found.subcooling.value.f == pytest.approx(10, abs=0.1)
    assert found.outside == ""


@pytest.mark.parametrize(
    "missing", ["suction-pressure@0", "suction-line-temperature@0"]
)
def test_without_its_readings_a_part_is_absent(know: Know, missing: str) -> None:
    answers = {k: v for k, v in by_subcooling(10).answers.items() if k != missing}
    found = measure(job_of(answers), know, 0)
    assert found.superheat is None
    assert found.subcooling is not None


def test_a_reading_outside_the_tables_is_said_and_stops(know: Know) -> None:
    values = readings(0, 120, 58, 790, 95)
    job = job_of({**VALVE, **values}, method=method())
    found, said = verdict(know, job, "check")
    assert (found.verdict, found.finding) == ("again", "outside-table")
    assert said[-1] == "verdict-again"
    seen = replace(found, at=0)
    twice = job_of({**VALVE, **readings(1, 120, 58, 790, 95)}, method=method())
    found, said = verdict(know, replace(twice, rounds=(seen,)), "check")
    assert (found.verdict, found.finding) == ("stop", "outside-table")
    assert said[-1] == "verdict-end"


# The installer's tolerance of the California Energy Commission, Reference Residential
# Appendix RA3.2 (2008), is 3 F of subcooling and 5 F of superheat; charging goes on
# until it is no more than 0.8 F and 1 F short.
CHECKS = [
    (by_subcooling, 6.0, "add"),
    (by_subcooling, 8.0, "add"),
    (by_subcooling, 8.6, "add"),
    (by_subcooling, 9.0, "add"),
    (by_subcooling, 9.4, "done"),
    (by_subcooling, 10.0, "done"),
    (by_subcooling, 12.7, "done"),
    (by_subcooling, 13.4, "over"),
    (by_superheat, 20.0, "add"),
    (by_superheat, 15.4, "add"),
    (by_superheat, 14.3, "add"),
    (by_superheat, 13.8, "done"),
    (by_superheat, 13.0, "done"),
    (by_superheat, 8.4, "done"),
]


@pytest.mark.parametrize(("made", "value", "expected"), CHECKS)
def test_a_check_is_judged_against_the_target(
    know: Know, made: Any, value: float, expected: str
) -> None:
    rest = at_rest(made, value, "overcharged" if expected == "over" else "near-target")
    found, said = verdict(know, rest, "check")
    assert found.verdict == expected
    assert found.round == 2
    assert said[0] in ("judged", "judged-superheat")
    ending = {"add": "verdict-add", "done": "verdict-done", "over": "verdict-end"}
    assert said[-1] == ending[expected]


def at_rest(made: Any, value: float, finding: str) -> Job:
    """Make a job whose unit was looked at before, and found as it is now."""
    target = AIM_SC if made is by_subcooling else AIM_SH
    k = DF(value).k
    values = {"subcooling": k} if made is by_subcooling else {"superheat": k}
    seen = judged(1, "again", finding=finding, target=target, **values)
    return made(
        value, 2, rounds=(judged(0), seen), pulses=(pulse(1),), judged=(1, 0), at=500.0
    )


@pytest.mark.parametrize("made", [by_subcooling, by_superheat])
def test_a_first_check_is_looked_at_again_before_it_counts(
    know: Know, made: Any
) -> None:
    before = judged(0, subcooling=DF(2).k, target=AIM_SC)
    if made is by_superheat:
        before = judged(0, superheat=DF(30).k, target=AIM_SH)
    job = made(6.0 if made is by_subcooling else 20.0, 1, rounds=(before,))
    found, said = verdict(know, replace(job, pulses=(pulse(1),)), "check")
    assert (found.verdict, found.finding) == ("again", "second-look")
    assert said[-1] == "verdict-again"


def test_a_unit_that_still_moves_gets_more_time(know: Know) -> None:
    seen = judged(1, "again", finding="second-look", subcooling=DF(2).k, target=AIM_SC)
    job = by_subcooling(
        6.0, 2, rounds=(judged(0), seen), pulses=(pulse(1),), judged=(1, 0)
    )
    found, _ = verdict(know, job, "check")
    assert (found.verdict, found.finding) == ("again", "still-moving")


def filling(*found: tuple[float, str], **answers: Any) -> Job:
    """Make a job whose looks after its opening came to these; 9 F is the latest."""
    before = judged(0, subcooling=DF(2).k, target=AIM_SC)
    looks = [
        judged(n + 1, "again", finding=finding, subcooling=DF(sc).k, target=AIM_SC)
        for n, (sc, finding) in enumerate(found)
    ]
    job = by_subcooling(
        9.0,
        len(found) + 1,
        rounds=(before, *looks),
        pulses=(pulse(1),),
        judged=(1, 0),
        at=2000.0,
    )
    given = job_of({**job.answers, **answers}).answers
    return replace(job, answers=given)


def test_a_unit_that_fills_on_by_voice_is_named_once_and_goes_on(know: Know) -> None:
    found, said = verdict(know, filling((5.0, "second-look")), "check")
    assert (found.verdict, found.finding) == ("again", "creep")
    assert said[-1] == "verdict-again"
    known = filling((5.0, "creep"))
    assert verdict(know, known, "check")[0].finding == "still-moving"


def test_a_cylinder_that_lost_weight_meanwhile_ends_it_when_seen_twice(
    know: Know,
) -> None:
    weights = {"cylinder-weight#1": OZ(340), "cylinder-weight#1b": OZ(337)}
    found, _ = verdict(know, filling((8.9, "second-look"), **weights), "check")
    assert (found.verdict, found.finding) == ("again", "creep")
    found, _ = verdict(know, filling((8.9, "creep"), **weights), "check")
    assert (found.verdict, found.finding) == ("stop", "creep")


@pytest.mark.parametrize(
    ("before", "now", "expected"),
    [(9.8, 10.0, "done"), (6.0, 10.0, "stop"), (12.0, 7.5, "add")],
)
def test_a_unit_that_fills_on_in_the_last_wait_has_a_valve_that_passes(
    know: Know, before: float, now: float, expected: str
) -> None:
    seen = judged(1, "done", subcooling=DF(before).k, target=AIM_SC)
    job = by_subcooling(
        now, 2, rounds=(judged(0), seen), pulses=(pulse(1),), judged=(1, 0)
    )
    found, _ = verdict(know, job, "final")
    assert found.verdict == expected
    assert (found.finding == "creep") == (expected == "stop")


def test_what_looks_like_the_target_is_looked_at_again(know: Know) -> None:
    job = replace(at_rest(by_subcooling, 10.0, "second-look"), at=0.0)
    found, _ = verdict(know, job, "check")
    assert (found.verdict, found.finding) == ("again", "near-target")


def test_the_last_round_proves_it(know: Know) -> None:
    _, said = verdict(know, by_subcooling(10, 1, rounds=(judged(0),)), "final")
    assert said[-1] == "verdict-proved"


BASELINES = [
    (by_subcooling, 3.0, "add", "undercharged"),
    (by_subcooling, 10.0, "done", "at-target"),
    (by_subcooling, 18.0, "over", "overcharged"),
    (by_superheat, 30.0, "add", "undercharged"),
    (by_superheat, 13.0, "done", "at-target"),
]


@pytest.mark.parametrize(("made", "value", "expected", "finding"), BASELINES)
def test_nothing_is_added_unless_the_first_readings_show_it_short(
    know: Know, made: Any, value: float, expected: str, finding: str
) -> None:
    found, _ = verdict(know, made(value), "baseline")
    assert (found.verdict, found.finding) == (expected, finding)


def test_what_looks_like_another_fault_stops(know: Know) -> None:
    """High superheat with enough subcooling is no lack of charge."""
    values = readings(0, 90, 75, 345, 93)
    job = job_of({**VALVE, **values}, method=method(target_k=AIM_SC))
    found, said = verdict(know, job, "baseline")
    assert found.verdict == "stop"
    assert found.finding not in ("undercharged", "at-target", "overcharged")
    assert found.reason.endswith(".")
    assert said[-1] == "verdict-end"


def test_too_few_first_readings_decide_nothing(know: Know) -> None:
    values = readings(0, 120, 58, 345, 95)
    answers = {**VALVE, **values}
    del answers["outdoor-temperature"]
    found, _ = verdict(know, job_of(answers, method=method()), "baseline")
    assert (found.verdict, found.finding) == ("unverified", "undecided")


def test_without_a_target_there_is_nothing_to_compare_with(know: Know) -> None:
    found, _ = verdict(know, job_of(VALVE, method=method()), "check")
    assert (found.verdict, found.finding) == ("unverified", "no-target")


EFFECTS = [
    # openings [s], highest suction, subcooling before and now [F] -> finding
    (10.0, 120.5, 5.0, 5.2, "no-rise"),
    (10.0, 120.5, 5.0, 7.4, "undercharged"),  # it moved
    (10.0, 125.0, 5.0, 5.2, "undercharged"),  # suction rose: something flowed
    (5.0, 120.5, 5.0, 5.2, "undercharged"),  # too short to prove anything
]


@pytest.mark.parametrize(("open_s", "peak", "before", "now", "finding"), EFFECTS)
def test_openings_without_effect_are_noticed(
    know: Know, open_s: float, peak: float, before: float, now: float, finding: str
) -> None:
    pulses = tuple(pulse(n + 1, open_s, peak=peak) for n in range(4))
    old = tuple(
        judged(n, subcooling=DF(before).k, target=AIM_SC, finding="second-look")
        for n in range(4)
    )
    job = by_subcooling(now, 4, rounds=old, pulses=pulses)
    looked = {**job.answers, "flow-checked@3": "done"}
    found, _ = verdict(know, replace(job, answers=job_of(looked).answers), "check")
    assert (found.verdict, found.finding) == (
        "again" if finding == "no-rise" else "add",
        finding,
    )


WEIGHED = [
    ("thermostatic", DF(10), 10.0, "done", "weighed-in"),
    ("thermostatic", DF(10), 7.5, "done", "weighed-in"),
    ("thermostatic", DF(10), 3.0, "unverified", "weighed-in-off"),
    ("thermostatic", DF(10), 16.0, "unverified", "weighed-in-off"),
    ("thermostatic", "unknown", 10.0, "unverified", "no-target"),
]


@pytest.mark.parametrize(("metering", "plate", "value", "expected", "finding"), WEIGHED)
def test_after_a_weigh_in_readings_prove_and_never_ask_for_more(
    know: Know, metering: str, plate: Any, value: float, expected: str, finding: str
) -> None:
    job = by_subcooling(value)
    answers = {**job.answers, "metering": metering, "target-subcooling": plate}
    weighed = job_of(answers, method=method("weigh-in", stop_by="weight"))
    found, _ = verdict(know, weighed, "final")
    assert (found.verdict, found.finding) == (expected, finding)


def test_what_a_weigh_in_is_compared_with(know: Know) -> None:
    assert after_weigh_in_target(job_of(VALVE), know) == difference(DF(10).k)
    assert after_weigh_in_target(job_of({"metering": "thermostatic"}), know) is None
    found = after_weigh_in_target(job_of(ORIFICE), know)
    assert found is not None
    assert found.si == pytest.approx(AIM_SH)
    assert after_weigh_in_target(job_of({"metering": "fixed-orifice"}), know) is None


def test_the_uncertainty_is_of_the_value_that_decides(know: Know) -> None:
    by_sc, _ = verdict(know, by_subcooling(10, 1, rounds=(judged(0),)), "check")
    by_sh, _ = verdict(know, by_superheat(13, 1, rounds=(judged(0),)), "check")
    assert by_sc.uncertainty == difference(
        measure(by_subcooling(10), know, 0).subcooling.uncertainty.k
    )
    assert by_sh.uncertainty == difference(
        measure(by_superheat(13), know, 0).superheat.uncertainty.k
    )

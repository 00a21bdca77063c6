"""The shipped lists: what every one of them promises."""

import itertools
import re
from datetime import date

import pytest

from checklists.loader import load_all
from checklists.model import CONTEXT, MOST_WORDS, AskStep, Step, certainty
from checklists.walk import steps_for

LISTS = load_all()
STEPS: tuple[Step, ...] = tuple(step for one in LISTS for step in one.steps)
LONGEST_PATH = 35  # spoken steps in one job; more would not be listened to
BRITISH = re.compile(r"vapour|metre|litre|colour|labelled|earthed|mould|\bearth\b")
# Weighing in is done with the system off; the two others with it running.
WAYS = {"liquid-pulses": "running", "vapor": "running", "weigh-in": "off"}


def spoken(step: Step) -> list[str]:
    sentences = [step.caution or "", step.say, step.why]
    return sentences + ([step.remedy] if isinstance(step, AskStep) else [])


def paths() -> list[dict[str, str]]:
    free = ["safety_group", "draw", "cylinder", "scale", "metering"]
    return [
        dict(zip(free, values, strict=True))
        | {"method": method, "unit": unit, "charge": "right"}
        for values in itertools.product(*(CONTEXT[key] for key in free))
        for method, unit in WAYS.items()
    ]


def test_the_lists_there_are() -> None:
    assert LISTS.ids == (
        "after",
        "close-out",
        "connect",
        "evacuated",
        "flammable-safety",
        "leak",
        "pre-checks",
        "site-safety",
    )


@pytest.mark.parametrize("name", LISTS.ids)
def test_a_list_is_short(name: str) -> None:
    assert 4 <= len(LISTS[name].steps) <= 9
    assert LISTS[name].review_by > date(2026, 11, 1)


def test_no_job_asks_more_than_can_be_listened_to() -> None:
    longest = max(
        sum(len(steps_for(one, context)) for one in LISTS) for context in paths()
    )
    assert longest <= LONGEST_PATH


def test_an_over_full_unit_is_recovered_and_draws_nothing_more() -> None:
    for charge, wanted, left_out in (
        ("right", "hoses-drawn", "excess-recovered"),
        ("over", "excess-recovered", "hoses-drawn"),
        ("suspect", "hoses-off", "hoses-drawn"),
    ):
        context = {"unit": "running", "charge": charge}
        ids = [step.id for step in steps_for(LISTS["close-out"], context)]
        assert wanted in ids
        assert left_out not in ids
        assert ids.index(wanted) <= ids.index("hoses-off")


def test_ids_are_unique_over_all_lists() -> None:
    assert len({step.id for step in STEPS}) == len(STEPS)


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.id)
def test_a_step_can_be_spoken_and_says_who_says_so(step: Step) -> None:
    for sentence in spoken(step):
        assert len(sentence.split()) <= MOST_WORDS
        assert not BRITISH.search(sentence.lower())
    assert certainty(step.source)


def test_the_steps_that_stop_a_job() -> None:
    stops = [s.id for s in STEPS if isinstance(s, AskStep) and s.otherwise == "stop"]
    assert stops == [
        "unit-label",
        "ground",
        "leak-found",
        "pressure-test",
        "closed-circuit",
        "power",
        "heat",
    ]


@pytest.mark.parametrize("group", CONTEXT["safety_group"])
def test_flammable_steps_come_with_flammable_groups(group: str) -> None:
    steps = steps_for(LISTS["flammable-safety"], {"safety_group": group})
    assert bool(steps) is (group not in {"A1", "B1"})


@pytest.mark.parametrize("context", paths()[:: len(WAYS) * 3 + 1], ids=str)
def test_one_cylinder_position_and_one_way_to_connect(context: dict[str, str]) -> None:
    ids = {step.id for step in steps_for(LISTS["connect"], context)}
    assert len(ids & {"cylinder-inverted", "cylinder-upright"}) == 1
    assert len(ids & {"low-side-first", "liquid-port"}) == 1
    assert ("scale" in ids) is (context["scale"] == "yes")


def test_only_a_weigh_in_needs_proof_of_a_vacuum() -> None:
    for method in WAYS:
        steps = steps_for(LISTS["evacuated"], {"method": method})
        assert bool(steps) is (method == "weigh-in")


def test_the_place_is_made_safe_whatever_the_job() -> None:
    for context in paths():
        assert steps_for(LISTS["site-safety"], context) == LISTS["site-safety"].steps

from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.charging import decide_method
from companion.knowledge.loading import Knowledge
from companion.knowledge.methods import (
    Holds,
    Leak,
    Loss,
    Metering,
    Method,
    MethodInputs,
    MethodRefused,
    Season,
    Unit,
)
from companion.knowledge.quantities import Temperature
from companion.knowledge.targets import target_superheat

Find = Callable[[str], Refrigerant]


def _running(refrigerant: Refrigerant, **changes: Any) -> MethodInputs:
    """Everything in order, a unit that runs in cooling and is short of charge."""
    inputs = MethodInputs(
        refrigerant=refrigerant,
        identity_proven=True,
        precautions=True,
        precheck_fault=False,
        leak="repaired",
        non_condensables_suspected=False,
        holds="partly",
        unit="running",
        loss="small",
        critical_charge=False,
        season="cooling",
        outdoor=Temperature.from_f(85),
        metering="fixed-orifice",
        dip_tube=False,
        restrictor=False,
    )
    return replace(inputs, **changes)


@pytest.fixture
def decide(knowledge: Knowledge) -> Callable[[MethodInputs], Method | MethodRefused]:
    return lambda inputs: decide_method(inputs, knowledge.limits)


Decide = Callable[[MethodInputs], Method | MethodRefused]


def _method(found: Method | MethodRefused) -> Method:
    assert isinstance(found, Method), found
    return found


def _refused(found: Method | MethodRefused) -> MethodRefused:
    assert isinstance(found, MethodRefused), found
    return found


@pytest.mark.parametrize("name", ["R-407C", "R-410A", "R-454B", "R-458A"])
def test_a_zeotrope_goes_into_a_running_unit_as_throttled_liquid(
    decide: Decide, refrigerant: Find, name: str
) -> None:
    found = _method(decide(_running(refrigerant(name))))
    assert found.id == "liquid-pulses"
    assert (found.draw, found.cylinder) == ("liquid", "inverted")
    assert (found.port, found.opening) == ("suction", "throttled")
    assert found.stop_by == "superheat"
    assert name in found.reason
    assert "blend-transfer-2000" in found.source


@pytest.mark.parametrize("name", ["R-22", "R-32", "R-134a", "R-290", "R-507A"])
def test_the_others_go_in_as_vapor(
    decide: Decide, refrigerant: Find, name: str
) -> None:
    found = _method(decide(_running(refrigerant(name), metering="thermostatic")))
    assert found.id == "vapor"
    assert (found.draw, found.cylinder) == ("vapor", "upright")
    assert (found.port, found.opening) == ("suction", "throttled")
    assert found.stop_by == "subcooling"


@pytest.mark.parametrize("name", ["R-407C", "R-22"])
def test_a_restrictor_lets_liquid_in_fully(
    decide: Decide, refrigerant: Find, name: str
) -> None:
    found = _method(decide(_running(refrigerant(name), restrictor=True)))
    assert found.id == "liquid-restrictor"
    assert (found.draw, found.opening) == ("liquid", "full")


def test_a_dip_tube_stands_upright(decide: Decide, refrigerant: Find) -> None:
    found = _method(decide(_running(refrigerant("R-407C"), dip_tube=True)))
    assert (found.draw, found.cylinder) == ("liquid", "upright")


def test_a_vacuum_is_weighed_into_through_the_liquid_line(
    decide: Decide, refrigerant: Find
) -> None:
    for name in ("R-22", "R-410A"):
        inputs = _running(refrigerant(name), holds="evacuated", unit="off")
        # Neither weather, season nor metering matters to a scale.
        inputs = replace(inputs, outdoor=None, season=None, metering=None)
        found = _method(decide(inputs))
        assert found.id == "weigh-in"
        assert (found.draw, found.port) == ("liquid", "liquid-line")
        assert (found.opening, found.stop_by) == ("full", "weight")


def test_a_compressor_never_runs_in_a_vacuum(decide: Decide, refrigerant: Find) -> None:
    inputs = _running(refrigerant("R-410A"), holds="evacuated")
    assert _refused(decide(inputs)).refusal == "stop-first"


@pytest.mark.parametrize("unit", ["off", "running"])
def test_an_empty_circuit_is_evacuated_first(
    decide: Decide, refrigerant: Find, unit: Unit
) -> None:
    inputs = _running(refrigerant("R-410A"), holds="empty", unit=unit)
    found = _refused(decide(inputs))
    assert found.refusal == "evacuate-first"
    assert found.first[-3:] == ("repair", "pressure-test", "evacuate")
    assert ("stop" in found.first) == (unit == "running")
    assert found.then is not None
    assert found.then.id == "weigh-in"


@pytest.mark.parametrize(
    ("changes", "refusal"),
    [
        ({"non_condensables_suspected": True}, "recover-first"),
        ({"loss": "large"}, "recover-first"),
        ({"critical_charge": True}, "recover-first"),
        ({"season": "heating"}, "recover-first"),
        ({"outdoor": Temperature.from_f(54)}, "too-cold"),
    ],
)
def test_what_leads_to_a_weigh_in(
    decide: Decide, refrigerant: Find, changes: dict[str, Any], refusal: str
) -> None:
    found = _refused(decide(_running(refrigerant("R-407C"), **changes)))
    assert found.refusal == refusal
    assert "recover" in found.first
    assert found.then is not None
    assert found.then.id == "weigh-in"
    assert found.what_to_do


def test_55_degrees_is_warm_enough(decide: Decide, refrigerant: Find) -> None:
    inputs = _running(refrigerant("R-407C"), outdoor=Temperature.from_f(55))
    assert _method(decide(inputs)).id == "liquid-pulses"


def test_a_large_loss_matters_only_with_a_high_glide(
    decide: Decide, refrigerant: Find
) -> None:
    for name, allowed in (("R-410A", True), ("R-22", True), ("R-407C", False)):
        found = decide(_running(refrigerant(name), loss="large"))
        assert isinstance(found, Method) is allowed


def test_without_a_leak_nobody_asks_how_much_was_lost(
    decide: Decide, refrigerant: Find
) -> None:
    inputs = _running(refrigerant("R-407C"), leak="none-found", loss=None)
    assert _method(decide(inputs)).id == "liquid-pulses"
    asked = _refused(decide(replace(inputs, leak="repaired")))
    assert (asked.refusal, asked.missing) == ("not-known", "loss")


@pytest.mark.parametrize(
    ("changes", "refusal"),
    [
        ({"identity_proven": None}, "identity"),
        ({"identity_proven": False}, "identity"),
        ({"precheck_fault": True}, "fix-first"),
        ({"leak": None}, "leak"),
        ({"leak": "unrepaired"}, "leak"),
        ({"unit": "off"}, "run-first"),
        ({"unit": None}, "run-first"),
    ],
)
def test_refusals_without_a_way_on(
    decide: Decide, refrigerant: Find, changes: dict[str, Any], refusal: str
) -> None:
    found = _refused(decide(_running(refrigerant("R-22"), **changes)))
    assert found.refusal == refusal
    assert found.then is None
    assert found.what_to_do


@pytest.mark.parametrize(
    "name",
    [
        "refrigerant",
        "precheck_fault",
        "non_condensables_suspected",
        "holds",
        "critical_charge",
        "season",
        "outdoor",
        "metering",
        "dip_tube",
    ],
)
def test_what_is_not_known_is_asked(
    decide: Decide, refrigerant: Find, name: str
) -> None:
    found = _refused(decide(replace(_running(refrigerant("R-22")), **{name: None})))
    assert (found.refusal, found.missing) == ("not-known", name)


@pytest.mark.parametrize("name", ["R-744", "R-11", "R-999"])
def test_only_supported_refrigerants(
    knowledge: Knowledge, decide: Decide, refrigerant: Find, name: str
) -> None:
    inputs = _running(refrigerant("R-22"))
    found = _refused(decide(replace(inputs, refrigerant=knowledge.catalogue.get(name))))
    assert found.refusal == "refrigerant"
    assert "do not add" in found.what_to_do


def test_a_fixed_orifice_needs_a_target(
    knowledge: Knowledge, decide: Decide, refrigerant: Find
) -> None:
    def target(outdoor: float, wet: float) -> Any:
        return target_superheat(
            knowledge.targets, Temperature.from_f(outdoor), Temperature.from_f(wet)
        )

    for outdoor, wet in ((95, 60), (120, 70)):
        inputs = _running(refrigerant("R-22"), superheat_target=target(outdoor, wet))
        found = _refused(decide(inputs))
        assert found.refusal == "no-target"
        assert found.what_to_do not in found.reason, "said once"
        valve = replace(inputs, metering="electronic")
        assert _method(decide(valve)).stop_by == "subcooling"
    good = _running(refrigerant("R-22"), superheat_target=target(95, 67))
    assert _method(decide(good)).stop_by == "superheat"


@pytest.mark.parametrize(
    ("name", "refusal"),
    [
        ("refrigerant", "identity"),
        ("precautions", "precautions"),
        ("precheck_fault", "fix-first"),
        ("leak", "leak"),
        ("holds", "recover-first"),
        ("non_condensables_suspected", "recover-first"),
        ("loss", "recover-first"),
        ("critical_charge", "recover-first"),
        ("season", "recover-first"),
        ("outdoor", "too-cold"),
        ("unit", "run-first"),
        ("metering", "no-target"),
        ("superheat_target", "no-target"),
    ],
)
def test_what_cannot_be_told_takes_the_safe_branch(
    decide: Decide, refrigerant: Find, name: str, refusal: str
) -> None:
    inputs = _running(refrigerant("R-454B"), dont_know=frozenset({name}))
    # R-454B has no high glide by the catalogue; the loss matters to one that has.
    if name == "loss":
        inputs = replace(inputs, refrigerant=refrigerant("R-407C"))
    found = _refused(decide(replace(inputs, **{name: None})))
    assert found.refusal == refusal
    assert found.what_to_do


def test_a_restrictor_that_nobody_can_tell_of_is_not_counted_on(
    decide: Decide, refrigerant: Find
) -> None:
    inputs = _running(
        refrigerant("R-410A"), restrictor=None, dont_know=frozenset({"restrictor"})
    )
    assert _method(decide(inputs)).opening == "throttled"


@pytest.mark.parametrize("cylinder", ["R-22", "R-32", "R-999"])
def test_another_cylinder_is_never_taken(
    knowledge: Knowledge, decide: Decide, refrigerant: Find, cylinder: str
) -> None:
    inputs = _running(refrigerant("R-410A"), cylinder=knowledge.catalogue.get(cylinder))
    found = _refused(decide(inputs))
    assert found.refusal == "identity"
    assert ("flammable" in found.reason) == (cylinder == "R-32")


def test_a_flammable_refrigerant_waits_for_its_precautions(
    decide: Decide, refrigerant: Find
) -> None:
    for name, flammable in (("R-32", True), ("R-290", True), ("R-410A", False)):
        open_ = _running(refrigerant(name), precautions=False)
        assert isinstance(decide(open_), MethodRefused) is flammable
    asked = _refused(decide(_running(refrigerant("R-290"), precautions=None)))
    assert (asked.refusal, asked.missing) == ("not-known", "precautions")


def _maybe(literal: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from([None, *get_args(literal)])


MAYBE = st.sampled_from([None, True, False])


@given(
    name=st.sampled_from(["R-22", "R-407C", "R-410A", "R-507A", "R-744", "nothing"]),
    identity_proven=MAYBE,
    precautions=MAYBE,
    precheck_fault=MAYBE,
    leak=_maybe(Leak),
    non_condensables_suspected=MAYBE,
    holds=_maybe(Holds),
    unit=_maybe(Unit),
    loss=_maybe(Loss),
    critical_charge=MAYBE,
    season=_maybe(Season),
    outdoor=st.none() | st.floats(0, 120).map(Temperature.from_f),
    metering=_maybe(Metering),
    dip_tube=MAYBE,
    restrictor=MAYBE,
)
def test_promises_that_hold_for_every_input(
    knowledge: Knowledge, name: str, **inputs: Any
) -> None:
    given_inputs = MethodInputs(refrigerant=knowledge.catalogue.get(name), **inputs)
    found = decide_method(given_inputs, knowledge.limits)
    assert found.reason
    assert found.citation.source in knowledge.sources
    method = found if isinstance(found, Method) else found.then
    if method is None:
        return
    refrigerant = given_inputs.refrigerant
    assert isinstance(refrigerant, Refrigerant)
    if refrigerant.kind == "zeotrope":
        assert method.draw == "liquid"
    liquid_running = method.draw == "liquid" and method.port == "suction"
    assert not liquid_running or method.opening == "throttled" or inputs["restrictor"]
    assert (method.id == "weigh-in") == (method.port == "liquid-line")
    if isinstance(found, Method):
        assert inputs["leak"] in ("none-found", "repaired")
        assert inputs["identity_proven"] is True
        assert inputs["precheck_fault"] is False
        assert inputs["holds"] != "empty"
        if found.port == "liquid-line":
            assert inputs["unit"] == "off"
        else:
            assert inputs["unit"] == "running"
            assert inputs["season"] == "cooling"
            assert inputs["outdoor"] >= knowledge.limits.outdoor_min

import json
from collections.abc import Callable
from typing import Any

import pytest

from companion.knowledge.loading import Knowledge
from companion.shell.knowledge_files import read_knowledge
from companion.shell.lookup_answer import Answer, LookupRefusal, LookupUsage
from companion.shell.lookup_charge import ChargeArguments, look_up_target_charge
from companion.shell.lookup_finding import FindingArguments, look_up_finding
from companion.shell.lookup_method import MethodArguments, look_up_method
from companion.shell.lookup_refrigerant import look_up_refrigerant
from companion.shell.lookup_targets import (
    look_up_target_subcooling,
    look_up_target_superheat,
)
from companion.shell.lookups import (
    look_up_saturation,
    look_up_subcooling,
    look_up_superheat,
)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _finding(**changes: str) -> FindingArguments:
    given = {
        "refrigerant": "R-410A",
        "metering": "fixed-orifice",
        "suction": "100psig",
        "liquid": "300psig",
        "suction_line": "65F",
        "liquid_line": "93F",
        "outdoor": "95F",
        "wet_bulb": "67F",
    }
    return FindingArguments(**(given | changes))


ANSWERS: dict[str, tuple[Callable[[Knowledge], Answer], set[str]]] = {
    "refrigerant": (
        lambda k: look_up_refrigerant(k, "R-458A"),
        {
            "designation",
            "kind",
            "components",
            "safety_group",
            "glide_k",
            "gwp_ar4",
            "gwp_ar5",
            "charging_draw",
            "certainty",
            "sources",
        },
    ),
    "saturation-pressure": (
        lambda k: look_up_saturation(k, "R-407C", pressure="68psig"),
        {"refrigerant", "pressure_kpa_abs", "bubble_c", "dew_c", "bubble_f", "dew_f"},
    ),
    "saturation-temperature": (
        lambda k: look_up_saturation(k, "R-407C", temperature="25C"),
        {
            "refrigerant",
            "temperature_c",
            "bubble_kpa_abs",
            "dew_kpa_abs",
            "bubble_psig",
            "dew_psig",
        },
    ),
    "superheat": (
        lambda k: look_up_superheat(k, "R-407C", suction="68psig", line="55F"),
        {"superheat_k", "superheat_f", "dew_c", "uncertainty_k"},
    ),
    "subcooling": (
        lambda k: look_up_subcooling(k, "R-407C", liquid="250psig", line="97F"),
        {"subcooling_k", "subcooling_f", "bubble_c", "uncertainty_k"},
    ),
    "method": (
        lambda k: look_up_method(
            k,
            MethodArguments(
                refrigerant="R-407C",
                unit="running",
                holds="partly",
                metering="fixed-orifice",
            ),
        ),
        {"method", "draw", "cylinder", "port", "opening", "reason", "source"},
    ),
    "target-superheat": (
        lambda k: look_up_target_superheat(k, outdoor="95F", wet_bulb="67F"),
        {"target_f", "target_k", "tolerance_f", "source"},
    ),
    "target-subcooling": (
        lambda k: look_up_target_subcooling(k, nameplate="10F"),
        {"target_f", "target_k", "tolerance_f", "source"},
    ),
    "target-charge": (
        lambda k: look_up_target_charge(
            k,
            ChargeArguments(
                nameplate="96oz", line="3/8", length="40ft", included="15ft"
            ),
        ),
        {"charge_kg", "adder_kg", "source"},
    ),
    "finding": (
        lambda k: look_up_finding(k, _finding()),
        {"finding", "may_add", "reason", "superheat_f", "subcooling_f"},
    ),
}


@pytest.mark.parametrize("name", ANSWERS)
def test_the_promised_keys_are_there(knowledge: Knowledge, name: str) -> None:
    ask, keys = ANSWERS[name]
    answer = ask(knowledge)
    assert keys <= answer.json.keys()
    assert json.loads(json.dumps(answer.json, allow_nan=False)) == answer.json
    assert answer.text.endswith(".")


def _json(knowledge: Knowledge, name: str) -> Any:
    return ANSWERS[name][0](knowledge).json


def test_values(knowledge: Knowledge) -> None:
    assert _json(knowledge, "refrigerant")["components"]["R-134a"] == 61.4
    assert _json(knowledge, "refrigerant")["certainty"]["safety_group"] == "from memory"
    assert _json(knowledge, "refrigerant")["charging_draw"] == "liquid"
    at_pressure = _json(knowledge, "saturation-pressure")
    assert at_pressure["dew_f"] == pytest.approx(43.2, abs=0.1)
    assert at_pressure["bubble_f"] == pytest.approx(32.2, abs=0.1)
    assert _json(knowledge, "superheat")["superheat_f"] == pytest.approx(11.8, abs=0.1)
    subcooled = _json(knowledge, "subcooling")
    assert subcooled["subcooling_f"] == pytest.approx(10.2, abs=0.1)
    assert _json(knowledge, "target-superheat")["target_f"] == 12
    assert _json(knowledge, "target-charge")["adder_kg"] == pytest.approx(
        0.425, abs=0.001
    )
    assert _json(knowledge, "finding")["may_add"] is True


def test_altitude_counts(knowledge: Knowledge) -> None:
    low = look_up_saturation(knowledge, "R-134a", pressure="35psig").json
    high = look_up_saturation(
        knowledge, "R-134a", pressure="35psig", altitude="5000ft"
    ).json
    assert low["dew_f"] - high["dew_f"] == pytest.approx(2.6, abs=0.1)
    # An absolute pressure needs no air.
    again = look_up_saturation(
        knowledge, "R-134a", pressure="342kPa", altitude="5000ft"
    ).json
    assert again["pressure_kpa_abs"] == 342


@pytest.mark.parametrize(
    ("designation", "kind", "hint"),
    [
        ("R-744", "out-of-scope", "critical"),
        ("R-717", "out-of-scope", "toxic"),
        ("R-11", "unsupported", "maker's procedure"),
        ("R-488A", "not-known", "R-458A"),
    ],
)
def test_refused_refrigerants(
    knowledge: Knowledge, designation: str, kind: str, hint: str
) -> None:
    with pytest.raises(LookupRefusal, match=hint) as caught:
        look_up_refrigerant(knowledge, designation)
    assert caught.value.kind == kind
    with pytest.raises(LookupRefusal, match=hint) as caught:
        look_up_method(knowledge, MethodArguments(refrigerant=designation))
    assert caught.value.kind == kind


@pytest.mark.parametrize(
    ("ask", "kind"),
    [
        (
            lambda k: look_up_saturation(k, "R-22", temperature="95C"),
            "outside-table",
        ),
        (lambda k: look_up_saturation(k, "R-22", pressure="1psia"), "outside-table"),
        (
            lambda k: look_up_superheat(k, "R-22", suction="900psig", line="55F"),
            "outside-table",
        ),
        (
            lambda k: look_up_subcooling(k, "R-22", liquid="900psig", line="55F"),
            "outside-table",
        ),
        (
            lambda k: look_up_target_superheat(k, outdoor="95F", wet_bulb="60F"),
            "no-go",
        ),
        (
            lambda k: look_up_target_superheat(k, outdoor="40F", wet_bulb="60F"),
            "outside-targets",
        ),
        (look_up_target_subcooling, "nameplate-needed"),
        (
            lambda k: look_up_target_charge(
                k,
                ChargeArguments(
                    nameplate="96oz",
                    line="3/8",
                    length="40ft",
                    included="15ft",
                    refrigerant="R-22",
                ),
            ),
            "no-table",
        ),
        (lambda k: look_up_finding(k, _finding(suction="0psig")), "outside-table"),
        (lambda k: look_up_finding(k, _finding(liquid="900psig")), "outside-table"),
    ],
)
def test_refusals(knowledge: Knowledge, ask: Callable[..., Answer], kind: str) -> None:
    with pytest.raises(LookupRefusal) as caught:
        ask(knowledge)
    assert caught.value.kind == kind
    refusal = {"kind": kind, "message": str(caught.value)}
    assert caught.value.json["refusal"] == refusal


@pytest.mark.parametrize(
    "ask",
    [
        lambda k: look_up_saturation(k, "R-22"),
        lambda k: look_up_saturation(k, "R-22", pressure="9psig", temperature="4C"),
        lambda k: look_up_saturation(k, "R-22", pressure="40F"),
        lambda k: look_up_superheat(k, "R-22", suction="68psig", line="55psig"),
        lambda k: look_up_target_subcooling(k, nameplate="60F"),
        lambda k: look_up_target_charge(
            k,
            ChargeArguments(
                nameplate="96oz", line="7/8", length="40ft", included="15ft"
            ),
        ),
        lambda k: look_up_target_charge(
            k,
            ChargeArguments(
                nameplate="96F", line="3/8", length="40ft", included="15ft"
            ),
        ),
        lambda k: look_up_method(k, MethodArguments(refrigerant="R-22", unit="on")),
        lambda k: look_up_finding(k, _finding(metering="valve")),
        lambda k: look_up_finding(
            k, _finding(metering="thermostatic", nameplate="70F")
        ),
        lambda k: look_up_finding(k, _finding(amps="some")),
    ],
)
def test_wrong_usage(knowledge: Knowledge, ask: Callable[..., Answer]) -> None:
    with pytest.raises(LookupUsage):
        ask(knowledge)


def test_a_method_names_what_it_assumes(knowledge: Knowledge) -> None:
    given = MethodArguments(
        refrigerant="R-22",
        unit="running",
        holds="partly",
        metering="thermostatic",
        outdoor="90F",
        leak="none-found",
        season="cooling",
        loss="small",
        dip_tube=True,
        restrictor=True,
    )
    json_ = look_up_method(knowledge, given).json
    assert json_["method"] == "liquid-restrictor"
    assert json_["cylinder"] == "upright"
    assert len(json_["assumed"]) == 4
    assert not any("leak" in text or "outdoors" in text for text in json_["assumed"])


@pytest.mark.parametrize("holds", ["empty", "full-loss"])
def test_an_empty_circuit_is_told_the_way(knowledge: Knowledge, holds: str) -> None:
    given = MethodArguments(refrigerant="R-410A", unit="off", holds=holds)
    answer = look_up_method(knowledge, given)
    assert answer.json["method"] == "weigh-in"
    assert answer.json["first"] == ["repair", "pressure-test", "evacuate"]
    assert answer.json["refused_now"] == "evacuate-first"
    assert answer.text.startswith("First: repair")


def test_a_method_that_is_refused(knowledge: Knowledge) -> None:
    for changes, kind in (
        ({"leak": "unrepaired"}, "leak"),
        ({"outdoor": "95F", "wet_bulb": "60F"}, "no-target"),
        ({"unit": "off"}, "run-first"),
        ({"metering": None}, "not-known"),
    ):
        given: dict[str, Any] = {
            "refrigerant": "R-410A",
            "unit": "running",
            "holds": "partly",
            "metering": "fixed-orifice",
        }
        with pytest.raises(LookupRefusal) as caught:
            look_up_method(knowledge, MethodArguments(**(given | changes)))
        assert caught.value.kind == kind


def test_a_valve_without_a_plate_is_judged_by_an_assumed_target(
    knowledge: Knowledge,
) -> None:
    valve = _finding(metering="thermostatic")
    json_ = look_up_finding(knowledge, valve).json
    assert json_["target_assumed"] is True
    assert "assumed" in json_["reason"]
    plate = _finding(metering="thermostatic", nameplate="8F")
    json_ = look_up_finding(knowledge, plate).json
    assert json_["target_assumed"] is False
    assert json_["target_f"] == 8
    assumed = look_up_target_subcooling(knowledge, assume=True)
    assert assumed.json["assumed"] is True
    assert "from memory" in assumed.text


def test_a_fixed_orifice_needs_the_wet_bulb(knowledge: Knowledge) -> None:
    given = FindingArguments(
        refrigerant="R-410A",
        metering="fixed-orifice",
        suction="100psig",
        liquid="300psig",
        suction_line="65F",
        liquid_line="93F",
        outdoor="95F",
        split="20F",
        amps="low",
    )
    json_ = look_up_finding(knowledge, given).json
    assert json_["finding"] == "not-valid"
    assert json_["may_add"] is False


@pytest.mark.parametrize(
    ("line", "usual"), [("55F", True), ("5F", False), ("130F", False)]
)
def test_a_superheat_that_hardly_can_be_says_so(
    knowledge: Knowledge, line: str, usual: bool
) -> None:
    found = look_up_superheat(knowledge, "R-407C", suction="68psig", line=line)
    assert found.json["usual"] is usual
    assert ("read both again" in found.text) is not usual


def test_a_subcooling_that_hardly_can_be_says_so(knowledge: Knowledge) -> None:
    found = look_up_subcooling(knowledge, "R-407C", liquid="250psig", line="197F")
    assert found.json["usual"] is False
    assert "read both again" in found.text

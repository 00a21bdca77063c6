"""The look-ups of checks and rules, as they are typed: units, edges, order, refusals."""

import json
from typing import Any

import pytest

from companion.cli import build_parser, main
from companion.knowledge.loading import Knowledge
from companion.shell.knowledge_files import read_knowledge
from companion.shell.lookup_answer import Answer, LookupRefusal, LookupUsage


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _ask(knowledge: Knowledge, words: str) -> Answer:
    given = build_parser().parse_args(words.split())
    answer: Answer = given.ask(knowledge, given)
    json.dumps(dict(answer.json))
    assert answer.text
    return answer


@pytest.mark.parametrize(
    ("one", "other", "keys"),
    [
        (
            "target superheat --outdoor 95F --wet-bulb 67F",
            "target superheat --wet-bulb 67F --outdoor 35C",
            ["target_f"],
        ),
        (
            "superheat R-410A --suction 118psig --line 55F",
            "superheat 410a --line 55F --suction 8.13581361barg",
            ["superheat_f"],
        ),
        (
            "judge superheat --actual 18F --target 13F",
            "judge superheat --target 7.2222222C --actual 10C",
            ["verdict"],
        ),
        (
            "method --refrigerant R-22 --unit running --holds partly --metering txv",
            "method --metering THERMOSTATIC --holds Partly --unit Running --refrigerant r22",
            ["method", "draw", "stop_by"],
        ),
        (
            "pulse R-22 --suction 68.5psig --now 79psig",
            "pulse R-22 --now 544.68583kPag --suction 472.2909kPag",
            ["close_now", "because"],
        ),
        (
            "target charge --nameplate 96oz --line 3/8 --length 40ft --included 15ft",
            "target charge --included 4.572m --length 12.192m --line 3/8in --nameplate 6lb",
            ["charge_kg", "adder_kg"],
        ),
        (
            "target evacuation --pulled 400micron --after 480micron --held 20min",
            "target evacuation --held 1200s --after 63.99474pa --pulled 53.329pa",
            ["verdict"],
        ),
        (
            "leak-rate --added 10lb --full 100lb --days 180",
            "leak-rate --days 180d --full 45.359237kg --added 160oz",
            ["rate_pct", "over"],
        ),
    ],
)
def test_units_and_order_make_no_difference(
    knowledge: Knowledge, one: str, other: str, keys: list[str]
) -> None:
    first, second = _ask(knowledge, one).json, _ask(knowledge, other).json
    for key in keys:
        if isinstance(first[key], float):
            assert second[key] == pytest.approx(first[key], abs=0.02)
        else:
            assert second[key] == first[key]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("judge superheat --actual 18.01F --target 13F", {"verdict": "add"}),
        ("judge superheat --actual 8F --target 13F", {"verdict": "pass"}),
        ("judge superheat --actual 7.9F --target 13F", {"verdict": "remove"}),
        ("judge subcooling --actual 13F --target 10F", {"verdict": "pass"}),
        ("judge subcooling --actual 14F --target 10F", {"verdict": "remove"}),
        ("judge subcooling --actual 14F --target 10F --by rater", {"verdict": "pass"}),
        ("judge valve --actual 3F", {"verdict": "fail"}),
        ("judge valve --actual 3F --by rater", {"verdict": "pass"}),
        ("judge split --actual 22F --target 18F", {"verdict": "low-airflow"}),
        ("judge saturation --actual 43F --target 40F", {"verdict": "pass"}),
        ("pulse R-134a --suction 35psig --now 42psig", {"because": ["saturation"]}),
        ("pulse R-410A --suction 118psig --now 127.9psig", {"close_now": False}),
        ("pulse R-410A --suction 118psig --now 128psig", {"because": ["pressure"]}),
        ("pulse R-410A --suction 118psig --open 14.9s", {"close_now": False}),
        ("heat 42C", {"level": "high"}),
        ("retest 3/2021 --years 10", {"due": "03-2031"}),
        ("co2e R-410A --charge 3kg --detection", {"check_months": 24}),
        ("co2e R-410A --charge 3kg --hermetic", {"check_months": None}),
    ],
)
def test_edges(knowledge: Knowledge, words: str, expected: dict[str, Any]) -> None:
    found = _ask(knowledge, words).json
    assert expected.items() <= found.items()


@pytest.mark.parametrize(
    "words",
    [
        "judge moon --actual 3F",
        "judge superheat --actual 3F",
        "judge superheat --actual 3psig --target 3F",
        "pulse R-410A --suction 118psig --open long",
        "pulse R-410A --suction 118psig --orifice 1mm",
        "target evacuation --pulled 400micron",
        "target charge --nameplate 96oz --length 40ft --included 15ft",
        "target charge --nameplate 96oz --line 3/8 --length 40ft",
        "target charge --nameplate 96oz --line 3/8 --per-foot 1oz --length 4ft --included 1ft",
        "target charge --nameplate 96oz --per-foot 1oz --length 4ft --included 1ft --hose 5ft",
        "leak-rate --added 1lb --full 0lb",
        "leak-rate --added 1lb --full 5lb --days some",
        "co2e R-410A --charge 3F",
        "retest 13-21",
        "retest yesterday",
        "recheck tomorrow",
        "signs",
        "signs --suction up",
        "content R-410A --bore 1/0 --length 1ft --temperature 75F",
        (
            "finding --refrigerant R-410A --metering txv --suction 118psig --liquid 340psig "
            "--suction-line 55F --liquid-line 95F --outdoor 95F --standing 200psig"
        ),
        (
            "finding --refrigerant R-410A --metering txv --suction 118psig --liquid 340psig "
            "--suction-line 55F --liquid-line 95F --outdoor 95F --airflow lots"
        ),
    ],
)
def test_wrong_usage_is_named(knowledge: Knowledge, words: str) -> None:
    with pytest.raises(LookupUsage):
        _ask(knowledge, words)


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("co2e R-410A --charge -3kg", "impossible"),
        ("leak-rate --added -10lb --full 100lb --days 180", "impossible"),
        ("co2e R-290", "no-table"),
        ("co2e R-744", "out-of-scope"),
        ("pulse R-410A --suction 900psig", "outside-table"),
        ("content R-410A --bore 1/4 --length 5ft --temperature 90C", "outside-table"),
        ("pressure 40inHg", "below-vacuum"),
    ],
)
def test_refused(knowledge: Knowledge, words: str, kind: str) -> None:
    with pytest.raises(LookupRefusal) as caught:
        _ask(knowledge, words)
    assert caught.value.kind == kind


FINDING = (
    "finding --refrigerant R-410A --metering fixed-orifice --suction 100psig "
    "--liquid 300psig --suction-line 65F --liquid-line 93F --outdoor 95F --wet-bulb 67F "
)


@pytest.mark.parametrize(
    ("more", "finding", "then"),
    [
        ("", "undercharged", None),
        ("--airflow 280cfm/ton", "low-airflow-suspected", "air-flow"),
        ("--iced", "low-airflow-suspected", "coil-and-filter"),
        ("--iced unknown", "low-airflow-suspected", "coil-and-filter"),
        ("--iced no", "undercharged", None),
        ("--return-dry-bulb 85F", "not-valid", "return-dry-bulb"),
        ("--discharge 110C", "compressor-suspected", "compressor"),
        (
            "--standing 215psig --standing-temperature 70F",
            "non-condensables-suspected",
            None,
        ),
        ("--standing 201psig --standing-temperature 70F", "undercharged", None),
        (
            "--standing 150psig --standing-temperature 70F",
            "wrong-refrigerant-suspected",
            None,
        ),
        ("--amps high", "undecided", "amps"),
    ],
)
def test_findings_with_more_to_go_by(
    knowledge: Knowledge, more: str, finding: str, then: str | None
) -> None:
    found = _ask(knowledge, FINDING + more).json
    assert found["finding"] == finding
    assert found["may_add"] == (finding == "undercharged")
    assert found["next_measurement"] == then


def test_an_excess_leads_to_recovery(knowledge: Knowledge) -> None:
    found = _ask(
        knowledge,
        "finding --refrigerant R-22 --metering txv --nameplate 10F --suction 75psig "
        "--liquid 270psig --suction-line 55F --liquid-line 95F --outdoor 95F",
    )
    assert found.json["finding"] == "overcharged"
    assert any("80 percent" in step for step in found.json["then"])
    assert "recover" in found.text


def test_a_hose_keeps_some_of_it(knowledge: Knowledge) -> None:
    found = _ask(
        knowledge,
        "target charge --nameplate 96oz --line 3/8 --length 15ft --included 15ft "
        "--refrigerant R-410A --hose 5ft --accessories 4oz",
    ).json
    assert found["charge_oz"] == pytest.approx(100)
    # 1.0 to 1.8 oz for bores of 3/16 to 1/4 in, by geometry and CoolProp at 75 F.
    assert found["hose_oz"] == pytest.approx(1.8, abs=0.05)
    assert found["leaves_cylinder_oz"] == pytest.approx(
        100 + found["hose_oz"], abs=1e-3
    )


def test_every_condition_has_its_source(knowledge: Knowledge) -> None:
    rows = _ask(knowledge, "target conditions").json["conditions"]
    found = {row["name"]: (row["value"], row["unit"]) for row in rows}
    assert found["outdoor_min"] == (55.0, "F")
    assert found["airflow_min"] == (300.0, "cfm per ton")
    assert found["settle_final"] == (15.0, "min")
    assert all(row["source"] for row in rows)


def test_unknown_in_the_command_takes_the_safe_branch(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = "method --refrigerant unknown --unit running --holds partly --json"
    assert main(words.split()) == 1
    assert json.loads(capsys.readouterr().out)["refusal"]["kind"] == "identity"

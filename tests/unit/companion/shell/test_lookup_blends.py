import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.knowledge.loading import Knowledge
from companion.shell.knowledge_files import read_knowledge
from companion.shell.lookup_answer import Answer, LookupRefusal, LookupUsage
from companion.shell.lookup_cylinder import CylinderArguments, look_up_cylinder
from companion.shell.lookup_leak import LeakArguments, look_up_leak
from companion.shell.lookup_withdrawal import WithdrawalArguments, look_up_withdrawal
from companion.shell.lookups import look_up_saturation

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _draw(name: str = "R-407C", **given: str) -> WithdrawalArguments:
    usual = {"draw": "vapor", "fraction": "0.5"}
    return WithdrawalArguments(designation=name, **(usual | given))


def _leak(name: str = "R-407C", **given: str) -> LeakArguments:
    usual = {"lost": "30%", "what": "vapor", "temperature": "25C"}
    return LeakArguments(designation=name, **(usual | given))


def _cylinder(name: str = "R-410A", **given: str) -> CylinderArguments:
    return CylinderArguments(designation=name, temperature="25C", **given)


def _checked(answer: Answer, keys: set[str]) -> dict[str, Any]:
    assert keys <= answer.json.keys()
    assert json.loads(json.dumps(answer.json, allow_nan=False)) == answer.json
    assert answer.text.endswith(".")
    return dict(answer.json)


def test_withdrawal(knowledge: Knowledge) -> None:
    keys = {"leaving", "left_liquid", "left_vapor", "delivered_mean"}
    keys |= {"pressure_kpa_abs", "within_tolerance"}
    found = _checked(look_up_withdrawal(knowledge, _draw()), keys)
    assert found["left_liquid"]["R-134a"] == pytest.approx(64.0, abs=0.1)
    assert found["delivered_mean"]["R-32"] == pytest.approx(29.3, abs=0.1)
    assert found["within_tolerance"] is False
    assert "from memory" in found["tolerance_note"]
    assert found["dew_shift_k"] < -2  # richer in the volatile parts: boils colder


@pytest.mark.parametrize(
    ("name", "draw", "fraction", "within"),
    [
        ("R-410A", "liquid", "90%", True),
        ("R-407C", "liquid", "0.9", True),
        ("R-407C", "liquid", "0.94", False),
        ("R-404A", "vapor", "0.5", True),
        ("R-454B", "vapor", "0", False),
        ("R-22", "vapor", "1", True),
        ("R-466A", "liquid", "0.1", None),
    ],
)
def test_tolerances(
    knowledge: Knowledge, name: str, draw: str, fraction: str, within: bool | None
) -> None:
    asked = _draw(name, draw=draw, fraction=fraction)
    found = _checked(look_up_withdrawal(knowledge, asked), {"within_tolerance"})
    assert found["within_tolerance"] is within


def test_what_was_drawn_mixes_with_what_the_unit_held(knowledge: Knowledge) -> None:
    alone = look_up_withdrawal(knowledge, _draw(net="4kg")).json
    mixed = look_up_withdrawal(knowledge, _draw(net="4kg", onto="2kg")).json
    assert alone["in_unit"] == alone["delivered_mean"]
    label = {"R-32": 23, "R-125": 25, "R-134a": 52}
    for name, pct in mixed["in_unit"].items():
        half = (label[name] + mixed["delivered_mean"][name]) / 2
        assert pct == pytest.approx(half, abs=1e-3)


def test_pictures(knowledge: Knowledge, tmp_path: Path) -> None:
    pytest.importorskip("matplotlib")
    for answer in (
        look_up_withdrawal(knowledge, _draw(plot=str(tmp_path / "a.png"))),
        look_up_saturation(knowledge, "R-407C", plot=str(tmp_path / "b.png")),
        look_up_saturation(
            knowledge, "R-22", pressure="68psig", plot=str(tmp_path / "c.png")
        ),
    ):
        picture = Path(answer.json["plot"]).read_bytes()
        assert picture.startswith(b"\x89PNG")
        assert len(picture) > 5000
    with pytest.raises(LookupUsage, match=r"must end in one of \.png"):
        look_up_saturation(knowledge, "R-22", plot=str(tmp_path / "d.txt"))


def test_leak(knowledge: Knowledge) -> None:
    keys = {"left", "after_top_up", "advice", "reason", "threshold_source"}
    found = _checked(look_up_leak(knowledge, _leak()), keys)
    assert found["advice"] == "recover"
    assert found["left"]["R-32"] < found["after_top_up"]["R-32"] < 23
    assert "own design" in found["threshold_source"]
    small = look_up_leak(knowledge, _leak(lost="0.05", level="0.3")).json
    assert small["advice"] == "top-up"


def test_cylinder(knowledge: Knowledge) -> None:
    keys = {"liquid_kg", "vapor_kg", "liquid_level", "pressure_kpa_abs"}
    keys |= {"largest_fill_kg", "liquid_full_c"}
    asked = _cylinder(volume="12L", net="5kg")
    found = _checked(look_up_cylinder(knowledge, asked), keys)
    assert found["largest_fill_kg"] == pytest.approx(10.16, abs=0.02)
    assert found["liquid_full_c"] == pytest.approx(57.0, abs=0.1)
    assert found["pressure_kpa_abs"] == pytest.approx(1657, abs=1)
    gross = _cylinder(volume="12L", gross="12.5kg", tare="7.5kg")
    assert look_up_cylinder(knowledge, gross).json["net_kg"] == 5
    stamped = _cylinder(water_capacity="11.988kg", net="5kg")
    assert look_up_cylinder(knowledge, stamped).json["volume_l"] == pytest.approx(12)


def test_a_full_cylinder_warns_of_a_hot_van(knowledge: Knowledge) -> None:
    full = look_up_cylinder(knowledge, _cylinder(volume="12L", net="10kg"))
    assert "closed van in the sun" in full.text
    over = look_up_cylinder(knowledge, _cylinder(volume="12L", net="11.5kg"))
    assert over.text.startswith("Overfilled")
    assert over.json["liquid_full_of"] == "contents"
    assert over.json["liquid_full_c"] < 55
    assert "take some out" in over.json["hot_van_warning"]


@pytest.mark.parametrize(
    ("psig", "verdict"),
    [("225psig", "as expected"), ("260psig", "too high"), ("150psig", "too low")],
)
def test_the_standing_pressure_tells_what_is_in_it(
    knowledge: Knowledge, psig: str, verdict: str
) -> None:
    asked = _cylinder(volume="12L", net="5kg", pressure=psig)
    answer = look_up_cylinder(knowledge, asked)
    assert verdict in answer.json["standing"]
    assert verdict in answer.text


Ask = Callable[[Knowledge], Answer]


@pytest.mark.parametrize(
    ("ask", "kind"),
    [
        (lambda k: look_up_withdrawal(k, _draw(fraction="1.5")), "outside-range"),
        (lambda k: look_up_withdrawal(k, _draw(fraction="-0.1")), "outside-range"),
        (lambda k: look_up_withdrawal(k, _draw(fraction="nan")), "outside-range"),
        (lambda k: look_up_withdrawal(k, _draw(net="-1kg")), "impossible"),
        (lambda k: look_up_withdrawal(k, _draw(volume="0L")), "impossible"),
        (lambda k: look_up_withdrawal(k, _draw(onto="-1kg")), "impossible"),
        (lambda k: look_up_withdrawal(k, _draw(net="20kg")), "liquid-full"),
        (lambda k: look_up_withdrawal(k, _draw(temperature="95C")), "outside-table"),
        (lambda k: look_up_withdrawal(k, _draw("R-407")), "not-known"),
        (lambda k: look_up_withdrawal(k, _draw("R-744")), "out-of-scope"),
        (lambda k: look_up_withdrawal(k, _draw("R-410B")), "unsupported"),
        (lambda k: look_up_withdrawal(k, _draw(temperature="-300C")), "impossible"),
        (lambda k: look_up_leak(k, _leak(lost="130%")), "outside-range"),
        (lambda k: look_up_leak(k, _leak(lost="100%")), "empty"),
        (lambda k: look_up_leak(k, _leak(level="2")), "outside-range"),
        (
            lambda k: look_up_cylinder(k, _cylinder(volume="12L", net="0kg")),
            "impossible",
        ),
        (
            lambda k: look_up_cylinder(k, _cylinder(volume="-1L", net="5kg")),
            "impossible",
        ),
        (
            lambda k: look_up_cylinder(k, _cylinder(volume="0L", net="5kg")),
            "impossible",
        ),
        (
            lambda k: look_up_cylinder(k, _cylinder(volume="12L", net="15kg")),
            "liquid-full",
        ),
        (
            lambda k: look_up_cylinder(
                k, _cylinder(volume="12L", gross="5kg", tare="8kg")
            ),
            "impossible",
        ),
        (
            lambda k: look_up_cylinder(
                k, _cylinder(volume="12L", gross="5kg", tare="0kg")
            ),
            "impossible",
        ),
        (
            lambda k: look_up_cylinder(
                k, _cylinder(volume="12L", net="5kg", altitude="9000m")
            ),
            "altitude",
        ),
        (
            lambda k: look_up_cylinder(
                k, _cylinder(volume="12L", net="5kg", air="20kPa")
            ),
            "altitude",
        ),
    ],
)
def test_refusals(knowledge: Knowledge, ask: Ask, kind: str) -> None:
    with pytest.raises(LookupRefusal) as caught:
        ask(knowledge)
    assert caught.value.kind == kind


@pytest.mark.parametrize(
    "ask",
    [
        lambda k: look_up_withdrawal(k, _draw(draw="gas")),
        lambda k: look_up_withdrawal(k, _draw(fraction="half")),
        lambda k: look_up_withdrawal(k, _draw(volume="12kg")),
        lambda k: look_up_leak(k, _leak(what="gas")),
        lambda k: look_up_cylinder(k, _cylinder(net="5kg")),
        lambda k: look_up_cylinder(
            k, _cylinder(volume="12L", water_capacity="26lb", net="5kg")
        ),
        lambda k: look_up_cylinder(k, _cylinder(volume="12L")),
        lambda k: look_up_cylinder(k, _cylinder(volume="12L", gross="5kg")),
        lambda k: look_up_cylinder(k, _cylinder(volume="12L", net="5kg", air="84F")),
    ],
)
def test_wrong_usage(knowledge: Knowledge, ask: Ask) -> None:
    with pytest.raises(LookupUsage):
        ask(knowledge)

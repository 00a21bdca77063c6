from typing import Any

import pytest

from companion.job.facts import MethodChosen
from companion.job.know import Know
from companion.job.method import choose_method, superheat_target
from companion.job.refusals import Refused
from companion.knowledge.quantities import Quantity
from companion.knowledge.targets import Target
from tests.unit.companion.job.conftest import DF, OZ, F, job_of

BLEND: dict[str, Any] = {
    "unit-refrigerant": "R-410A",
    "unit-state": "cooling",
    "metering": "thermostatic",
    "factory-charge": OZ(96),
    "critical-charge": "no",
    "target-subcooling": DF(10),
    "cylinder-refrigerant": "R-410A",
    "dip-tube": "no",
    "restrictor": "no",
    "scale": "yes",
    "leak-state": "none-found",
    "outdoor-temperature": F(92),
}
SINGLE = {
    **BLEND,
    "unit-refrigerant": "R-22",
    "cylinder-refrigerant": "R-22",
    "metering": "fixed-orifice",
    "return-wet-bulb": F(66),
}
EMPTY = {**BLEND, "unit-state": "evacuated", "charge-adder": OZ(4)}
CHOSEN = [
    (BLEND, "liquid-pulses", "liquid", "inverted", "subcooling"),
    ({**BLEND, "dip-tube": "yes"}, "liquid-pulses", "liquid", "upright", "subcooling"),
    ({**BLEND, "metering": "electronic"}, "liquid-pulses", "liquid", "inverted", "subcooling"),
    (SINGLE, "vapor", "vapor", "upright", "superheat"),
    ({**SINGLE, "restrictor": "yes"}, "liquid-restrictor", "liquid", "inverted", "superheat"),
    ({**BLEND, "restrictor": "yes"}, "liquid-restrictor", "liquid", "inverted", "subcooling"),
    ({**SINGLE, "dip-tube": "yes"}, "vapor", "vapor", "inverted", "superheat"),
    (EMPTY, "weigh-in", "liquid", "inverted", "weight"),
]  # fmt: skip


@pytest.mark.parametrize(("answers", "name", "draw", "stands", "stop_by"), CHOSEN)
def test_which_method_fits(
    know: Know,
    answers: dict[str, str | Quantity],
    name: str,
    draw: str,
    stands: str,
    stop_by: str,
) -> None:
    chosen = choose_method(job_of(answers), know, 50.0)
    assert isinstance(chosen, MethodChosen)
    assert (chosen.method, chosen.draw, chosen.cylinder) == (name, draw, stands)
    assert chosen.stop_by == stop_by
    assert chosen.at == 50.0
    assert chosen.source
    assert chosen.reason.endswith(".")
    assert (chosen.target is None) == (stop_by == "weight")


REFUSED = [
    {"leak-state": "unrepaired"},
    {"leak-state": "unknown"},
    {"unit-state": "unknown"},
    {"unit-state": "heating"},
    {"unit-state": "off-charged"},
    {"unit-state": "empty"},
    {"critical-charge": "yes"},
    {"critical-charge": "unknown"},
    {"outdoor-temperature": F(40)},
    {"metering": "unknown"},
    {"dip-tube": "unknown"},
    {"unit-refrigerant": "unknown"},
]


@pytest.mark.parametrize("change", REFUSED)
def test_when_nothing_may_be_added(
    know: Know, change: dict[str, str | Quantity]
) -> None:
    found = choose_method(job_of({**BLEND, **change}), know, 0.0)
    assert isinstance(found, Refused)
    assert found.id
    assert found.reason.endswith(".")


def test_without_its_charge_nothing_is_weighed_in(know: Know) -> None:
    found = choose_method(job_of({**EMPTY, "factory-charge": "unknown"}), know, 0.0)
    assert isinstance(found, Refused)
    assert found.id == "no-charge"


def test_a_large_loss_of_a_blend_of_high_glide_is_no_top_up(know: Know) -> None:
    blend = {
        **BLEND,
        "unit-refrigerant": "R-407C",
        "cylinder-refrigerant": "R-407C",
        "leak-state": "repaired",
    }
    small = choose_method(job_of({**blend, "loss": "small"}), know, 0.0)
    assert isinstance(small, MethodChosen)
    for loss in ("large", "unknown"):
        found = choose_method(job_of({**blend, "loss": loss}), know, 0.0)
        assert isinstance(found, Refused)


def test_a_target_from_the_table_needs_the_weather(know: Know) -> None:
    found = superheat_target(job_of({**SINGLE, "outdoor-temperature": F(90)}), know)
    assert isinstance(found, Target)
    assert found.value.f == pytest.approx(13)
    for missing in ("outdoor-temperature", "return-wet-bulb"):
        rest = {key: value for key, value in SINGLE.items() if key != missing}
        assert superheat_target(job_of(rest), know) is None


def test_the_plate_names_the_target_subcooling(know: Know) -> None:
    chosen = choose_method(job_of({**BLEND, "target-subcooling": DF(12)}), know, 0.0)
    assert isinstance(chosen, MethodChosen)
    assert chosen.target is not None
    assert chosen.target.quantity == DF(12)

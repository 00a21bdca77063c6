import pytest

from companion.job.identify import next_item
from companion.job.items import AskQuestion, DecideMethod
from companion.job.know import Know
from tests.unit.companion.job.conftest import DF, OZ, job_of

VALUES = {"factory-charge": OZ(96), "charge-adder": OZ(0), "target-subcooling": DF(10)}
ALWAYS = ["unit-refrigerant", "unit-state", "metering", "factory-charge"]
CYLINDER = ["cylinder-refrigerant", "dip-tube"]
TABLE = [
    # state, metering -> what is asked after the plate, what after the cylinder
    (
        "cooling",
        "thermostatic",
        ["critical-charge", "target-subcooling"],
        ["restrictor"],
    ),
    ("cooling", "electronic", ["critical-charge", "target-subcooling"], ["restrictor"]),
    ("cooling", "fixed-orifice", ["critical-charge"], ["restrictor"]),
    ("evacuated", "thermostatic", ["charge-adder", "target-subcooling"], []),
    ("evacuated", "fixed-orifice", ["charge-adder"], []),
]


@pytest.mark.parametrize(("state", "metering", "plate", "cylinder"), TABLE)
def test_what_is_asked_of_which_unit(
    know: Know, state: str, metering: str, plate: list[str], cylinder: list[str]
) -> None:
    given = {
        "unit-refrigerant": "R-22",
        "cylinder-refrigerant": "R-22",
        "unit-state": state,
        "metering": metering,
        **VALUES,
    }
    answers, asked = {}, []
    while (item := next_item(job_of(answers), know)) is not None:
        assert isinstance(item, AskQuestion)
        asked.append(item.key)
        answers[item.key] = given.get(item.key, "yes" if item.key == "scale" else "no")
    assert asked == [*ALWAYS, *plate, *CYLINDER, *cylinder, "scale"]


RULED_OUT = [
    # the answer that rules out any charging -> the last question before it is said
    ("unit-refrigerant", "unknown", {}),
    ("unit-state", "heating", {}),
    ("unit-state", "empty", {}),
    ("unit-state", "off-charged", {}),
    ("unit-state", "unknown", {}),
    ("metering", "unknown", {}),
    ("critical-charge", "yes", {}),
    ("critical-charge", "unknown", {}),
    ("dip-tube", "unknown", {}),
    ("factory-charge", "unknown", {"unit-state": "evacuated"}),
    ("scale", "no", {"unit-state": "evacuated"}),
]


@pytest.mark.parametrize(("key", "answer", "site"), RULED_OUT)
def test_what_rules_out_charging_is_said_at_once(
    know: Know, key: str, answer: str, site: dict[str, str]
) -> None:
    given = {
        "unit-refrigerant": "R-410A",
        "cylinder-refrigerant": "R-410A",
        "unit-state": "cooling",
        "metering": "thermostatic",
        **VALUES,
        **site,
        key: answer,
    }
    answers: dict[str, object] = {}
    while isinstance(item := next_item(job_of(answers), know), AskQuestion):
        answers[item.key] = given.get(item.key, "no")
    assert isinstance(item, DecideMethod)
    assert list(answers)[-1] == key

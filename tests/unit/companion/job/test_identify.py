import pytest

from companion.job.identify import next_item
from companion.job.items import AskQuestion
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
    ("cooling", "unknown", ["critical-charge", "target-subcooling"], ["restrictor"]),
    ("heating", "thermostatic", ["critical-charge"], ["restrictor"]),
    ("evacuated", "thermostatic", ["charge-adder", "target-subcooling"], []),
    ("empty", "fixed-orifice", ["charge-adder"], []),
    ("off-charged", "thermostatic", ["critical-charge", "target-subcooling"], []),
    ("unknown", "thermostatic", ["critical-charge", "target-subcooling"], []),
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
        answers[item.key] = given.get(item.key, "no")
    assert asked == [*ALWAYS, *plate, *CYLINDER, *cylinder, "scale"]

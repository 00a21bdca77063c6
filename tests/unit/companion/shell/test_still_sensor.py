"""A suction sensor that hangs while the valve is open, in lines mode."""

from companion.job.inputs import DeviceFound, DeviceLost, Sampled
from companion.job.state import Closed, Open, Opening
from companion.knowledge.quantities import GaugePressure, Temperature
from companion.shell.still_sensor import STILL_OPEN_S, StillSensor

SHUT = Closed()
OPEN = Open(
    plan=Opening(
        number=1,
        called_at=0.0,
        planned_s=5.0,
        limit_s=15.0,
        silence_s=20.0,
        base=None,
        ceiling=None,
        stop_weight=None,
        heard_at=0.0,
    ),
    opened_at=0.0,
    heard_at=0.0,
)
OTHER = {"outdoor-temperature": Temperature.from_f(95)}


def sample(at: float, psi: float) -> Sampled:
    suction = GaugePressure.from_psi(psi)
    return Sampled(at=at, readings={"suction-pressure": suction, **OTHER})


def test_one_that_moves_is_believed() -> None:
    watch = StillSensor()
    for at in range(20):
        given = sample(float(at), 118 + at % 2)
        assert watch.see(given, OPEN) == [given]


def test_one_that_stands_still_while_nothing_is_open_is_believed() -> None:
    watch = StillSensor()
    for at in range(200):
        given = sample(float(at), 118)
        assert watch.see(given, SHUT) == [given]


def test_one_that_stands_still_over_openings_is_lost_and_found_when_it_moves() -> None:
    watch = StillSensor()
    for at in range(4):
        assert watch.see(sample(float(at), 118), OPEN) == [sample(float(at), 118)]
    for at in range(4, 100):
        watch.see(sample(float(at), 118), SHUT)
    found = [watch.see(sample(float(at), 118), OPEN) for at in range(100, 104)]
    assert found[1] == [sample(101.0, 118)]
    lost, rest = next(each for each in found if len(each) == 2)
    assert lost == DeviceLost(
        at=100 + STILL_OPEN_S - 3, device="suction-pressure-sensor", reason="frozen"
    )
    assert rest == Sampled(at=lost.at, readings=OTHER)
    assert watch.see(sample(110.0, 118), SHUT) == [Sampled(at=110.0, readings=OTHER)]
    assert watch.see(sample(111.0, 119), SHUT) == [
        DeviceFound(at=111.0, device="suction-pressure-sensor"),
        sample(111.0, 119),
    ]

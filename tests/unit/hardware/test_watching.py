import numpy as np

from hardware.ports import Fault, Reading
from hardware.watching import NATURES, STEADY_S, SignalWatch


def psig(value: float) -> Reading:
    return Reading(channel="suction-pressure", value=value, unit="psig")


def seen(values: list[float], every: float = 0.2) -> list[str]:
    watch = SignalWatch()
    found = [watch.see(psig(value), every * n) for n, value in enumerate(values)]
    return [each.name if isinstance(each, Fault) else "good" for each in found]


def noisy(level: float, count: int, seed: int = 1) -> list[float]:
    return list(level + np.random.default_rng(seed).normal(0, 0.25, count))


def test_a_live_signal_passes() -> None:
    assert set(seen(noisy(118, 300))) == {"good"}


def test_a_pressure_that_follows_an_opening_passes() -> None:
    rise = [100 + 0.2 * n * 3 for n in range(40)]  # 3 psi a second
    assert set(seen(rise)) == {"good"}


def test_the_same_value_for_long_is_frozen_until_it_moves() -> None:
    frozen_s = NATURES["psig"].frozen_s
    count = int(frozen_s / 0.2)
    found = seen([*noisy(118, 5), *[118.0] * (count + 3), 118.1])
    assert found[: 5 + count] == ["good"] * (5 + count)
    assert found[5 + count : -1] == ["frozen"] * 3
    assert found[-1] == "good"


def test_a_jump_is_no_reading_until_it_is_steady() -> None:
    found = seen([*noisy(100, 10), *noisy(130, 20, seed=2)])
    steady = int(STEADY_S / 0.2)
    assert found[:10] == ["good"] * 10
    assert found[10 : 10 + steady] == ["jumping"] * steady
    assert set(found[10 + steady :]) == {"good"}


def test_a_spike_costs_one_reading() -> None:
    found = seen([100.0, 100.1, 160.0, 100.2, 100.1])
    assert found == ["good", "good", "jumping", "good", "good"]


def test_a_loose_lead_never_gives_a_number() -> None:
    found = seen([100.0, *([130.0, 70.0] * 20)])
    assert set(found[1:]) == {"jumping"}


def test_a_scale_is_not_watched() -> None:
    watch = SignalWatch()
    for at, value in enumerate((5.0, 0.0, 12.0, *[12.0] * 50)):
        found = watch.see(
            Reading(channel="cylinder-weight", value=value, unit="kg"), float(at)
        )
        assert isinstance(found, Reading)


def test_a_fault_passes_and_what_was_before_is_forgotten() -> None:
    watch = SignalWatch()
    fault = Fault(channel="suction-pressure", name="open", message="open")
    assert watch.see(psig(100), 0.0) == psig(100)
    assert watch.see(fault, 0.2) is fault
    assert watch.see(psig(180), 0.4) == psig(180)


def test_a_transducer_that_hangs_is_frozen_though_its_supply_moves() -> None:
    watch = SignalWatch()
    found: list[Reading | Fault] = []
    for number, value in enumerate(noisy(118, 60)):
        reading = Reading(
            channel="suction-pressure", value=value, unit="psig", signal=1.234
        )
        found.append(watch.see(reading, 0.2 * number))
    assert isinstance(found[40], Reading)
    assert isinstance(found[-1], Fault)
    assert found[-1].name == "frozen"

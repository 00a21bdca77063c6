import pytest

from companion.shell.rig.air import House, Surroundings


def test_more_cooling_draws_the_return_air_down_slowly() -> None:
    air = Surroundings(outdoor_k=308.0, db_k=300.0, wb_k=292.0)
    house = House(
        db_k=300.0,
        wb_k=292.0,
        start_w=8000.0,
        nominal_w=10000.0,
        drop_k=2.0,
        lag_s=2000.0,
    )
    house.step(0.1, 8000.0, air)
    assert (air.db_k, air.wb_k) == (300.0, 292.0)
    for _ in range(200_000):
        house.step(0.1, 10000.0, air)
    assert air.db_k == pytest.approx(300.0 - 0.4, abs=0.001)
    assert air.wb_k == pytest.approx(292.0 - 0.24, abs=0.001)

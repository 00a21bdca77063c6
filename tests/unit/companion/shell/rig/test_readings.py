import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.shell.rig.readings import Reader, Transducer


@given(seed=st.integers(), value=st.floats(-30, 600))
def test_an_honest_reading_is_within_two_units(seed: int, value: float) -> None:
    spoken = Reader(seed=seed, misreads=0.0).reading(value, item="low")
    assert spoken.misread == "none"
    assert spoken.true == value
    assert abs(spoken.said - value) <= 1.9 + 1e-9


def test_each_instrument_keeps_its_own_fixed_error() -> None:
    reader = Reader(seed=3, misreads=0.0)
    means = {
        item: statistics.mean(reader.reading(100.0, item=item).said for _ in range(900))
        for item in ("low", "high")
    }
    assert abs(means["low"] - means["high"]) > 0.1
    assert all(abs(mean - 100) < 0.65 for mean in means.values())


def test_gross_misreads_come_as_often_as_asked_and_in_every_kind() -> None:
    reader = Reader(seed=1, misreads=0.10)
    found = [reader.reading(128.0, item="low", other=341.0) for _ in range(5000)]
    wrong = [spoken for spoken in found if spoken.misread != "none"]
    assert len(wrong) / 5000 == pytest.approx(0.10, abs=0.015)
    assert {spoken.misread for spoken in wrong} == {
        "off-by-tens",
        "swapped-digits",
        "dropped-digit",
        "other-gauge",
    }
    assert all(
        spoken.said == 341 for spoken in wrong if spoken.misread == "other-gauge"
    )
    assert all(abs(spoken.said - 128) > 5 for spoken in wrong)


@pytest.mark.parametrize("value", [-20.0, 0.0, 5.0, 11.0])
def test_small_numbers_only_lose_what_they_have(value: float) -> None:
    reader = Reader(seed=2, misreads=1.0)
    kinds = {reader.reading(value).misread for _ in range(300)}
    assert "off-by-tens" in kinds
    assert value >= 9 or kinds == {"off-by-tens"}


def test_delays_stay_in_their_ranges() -> None:
    reader = Reader(seed=4)
    assert all(1 <= reader.speech_s() <= 2 for _ in range(100))
    assert all(2.5 <= reader.answer_s(first=True) <= 6 for _ in range(100))
    assert all(2 <= reader.answer_s(first=False) <= 4 for _ in range(100))
    assert all(2.5 <= reader.call_out_gap_s() <= 4.5 for _ in range(100))
    lost = sum(reader.is_lost() for _ in range(5000))
    assert lost / 5000 == pytest.approx(0.04, abs=0.01)


def test_a_scale_steps_by_ten_grams() -> None:
    reader = Reader(seed=5)
    grams = [reader.scale_oz(300.0) * 28.349523125 for _ in range(400)]
    assert all(abs(g / 10 - round(g / 10)) < 1e-6 for g in grams)
    assert statistics.mean(grams) == pytest.approx(300 * 28.3495, abs=3)


def test_a_transducer_has_one_offset_and_little_noise() -> None:
    sensor = Transducer(seed=6)
    errors = [sensor.reading_psig(120.0) - 120.0 for _ in range(2000)]
    assert abs(statistics.mean(errors)) <= 1.02
    assert statistics.stdev(errors) == pytest.approx(0.25, abs=0.02)
    assert Transducer(seed=6).reading_psig(120.0) == 120.0 + errors[0]

import pytest

from companion.shell.rig.openings import WATCH_S, OpeningLog


def test_an_opening_is_logged_from_crack_to_shut_with_its_peak() -> None:
    log = OpeningLog()
    log.seen(0.5, 150.0, 0.0, 0.0)
    log.turned(1.0, 100.0, is_open=True)
    log.seen(2.0, 104.0, 0.01, 0.02)
    log.turned(3.0, 104.0, is_open=False)
    log.seen(4.0, 106.0, 0.01, 0.01)
    log.seen(3.0 + WATCH_S + 1, 130.0, 0.0, 0.5)
    (opening,) = log.openings
    assert (opening.start_s, opening.end_s) == (1.0, 3.0)
    assert opening.peak_rise_psi == pytest.approx(6.0)
    assert opening.fed_kg == pytest.approx(0.01)
    assert opening.wettest == 0.02


def test_a_second_opening_starts_a_second_entry() -> None:
    log = OpeningLog()
    log.turned(1.0, 100.0, is_open=True)
    log.turned(2.0, 100.0, is_open=False)
    log.turned(50.0, 101.0, is_open=True)
    first, second = log.openings
    assert first.end_s == 2.0
    assert second.end_s is None
    assert second.start_psig == 101.0


def test_shutting_what_was_never_opened_is_nothing() -> None:
    log = OpeningLog()
    log.turned(1.0, 100.0, is_open=False)
    assert log.openings == ()

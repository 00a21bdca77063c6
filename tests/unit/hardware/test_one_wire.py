from pathlib import Path

import pytest

from hardware.one_wire import Probe, ProbeReader, read_probe
from hardware.ports import Fault, Reading

PROBE = Probe(name="outdoor-temperature", id="28-0123456789ab")


def bus(folder: Path, text: str) -> Path:
    place = folder / PROBE.id
    place.mkdir()
    (place / "temperature").write_text(text)
    return folder


def test_thousandths_of_a_degree(tmp_path: Path) -> None:
    found = read_probe(PROBE, bus(tmp_path, "35062\n"))
    assert isinstance(found, Reading)
    assert found.value == 35.062
    assert 0.5 < found.uncertainty < 0.6


@pytest.mark.parametrize(
    ("text", "name"),
    [("85000", "no-supply"), ("-127000", "out-of-range"), ("", "gone"), ("x", "gone")],
)
def test_what_no_probe_measured_is_a_fault(
    tmp_path: Path, text: str, name: str
) -> None:
    found = read_probe(PROBE, bus(tmp_path, text))
    assert isinstance(found, Fault)
    assert found.name == name


def test_a_probe_that_is_not_there_is_an_open_lead(tmp_path: Path) -> None:
    found = read_probe(PROBE, tmp_path)
    assert isinstance(found, Fault)
    assert found.name == "open"


def test_a_reader_gives_the_last_value_until_it_is_stale(tmp_path: Path) -> None:
    now = [0.0]
    reader = ProbeReader(PROBE, lambda: now[0], bus(tmp_path, "20000"))
    while isinstance(found := reader.read(), Fault):
        assert found.name == "gone"
    assert found.value == 20.0
    reader.close()
    now[0] = 10.0
    stale = reader.read()
    assert isinstance(stale, Fault)
    assert stale.name == "gone"

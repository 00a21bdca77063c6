import os
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.shell.supervisor import NEVER, Supervisor


@pytest.fixture
def manager(tmp_path: Path) -> Iterator[socket.socket]:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(str(tmp_path / "notify"))
        ear.settimeout(1)
        yield ear


def supervisor(manager: socket.socket, **more: str) -> Supervisor:
    given = {"NOTIFY_SOCKET": str(manager.getsockname()), **more}
    return Supervisor(given)


def test_ready_alive_and_stopping_are_told(manager: socket.socket) -> None:
    unit = supervisor(manager, WATCHDOG_USEC="10000000", WATCHDOG_PID=str(os.getpid()))
    unit.ready("listening")
    assert manager.recv(100) == b"READY=1\nSTATUS=listening"
    assert unit.alive(100.0) == 105.0
    assert manager.recv(100) == b"WATCHDOG=1"
    unit.stopping()
    assert manager.recv(100) == b"STOPPING=1"


def test_it_is_fed_at_half_the_interval_and_no_oftener(manager: socket.socket) -> None:
    unit = supervisor(manager, WATCHDOG_USEC="4000000")
    assert [unit.alive(at) for at in (0.0, 1.0, 1.9, 2.0)] == [2.0, 2.0, 2.0, 4.0]
    manager.recv(100)
    manager.recv(100)
    manager.settimeout(0.05)
    with pytest.raises(TimeoutError):
        manager.recv(100)


def test_another_processs_watchdog_is_left_alone(manager: socket.socket) -> None:
    unit = supervisor(manager, WATCHDOG_USEC="4000000", WATCHDOG_PID="1")
    assert unit.alive(0.0) == NEVER


def test_without_a_manager_nothing_happens() -> None:
    unit = Supervisor({})
    unit.ready("listening")
    assert unit.alive(5.0) == NEVER
    unit.stopping()


def test_a_manager_that_is_gone_is_no_fault(tmp_path: Path) -> None:
    gone = {"NOTIFY_SOCKET": str(tmp_path / "none"), "WATCHDOG_USEC": "2000000"}
    assert Supervisor(gone).alive(3.0) == 4.0

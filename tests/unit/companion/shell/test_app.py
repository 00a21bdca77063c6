"""The whole program as the service manager starts, watches and ends it."""

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from companion.shell.app import _job_id
from companion.shell.clock import SystemClock, vouched_for
from companion.shell.journal import FILE, Journal

ROOT = Path(__file__).resolve().parents[4]


@pytest.mark.slow
def test_started_watched_and_ended_by_the_service_manager(tmp_path: Path) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "notify"))
        manager.settimeout(90)
        environment = {
            **os.environ,
            "NOTIFY_SOCKET": str(tmp_path / "notify"),
            "WATCHDOG_USEC": "1000000",
        }
        environment.pop("WATCHDOG_PID", None)
        command = [sys.executable, "-m", "companion", "run", "--service", "--typed"]
        process = subprocess.Popen(  # noqa: S603 - our own command
            [*command, "--accept-expired", "--job", str(tmp_path)],
            cwd=ROOT,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert manager.recv(200).startswith(b"READY=1")
        assert manager.recv(200) == b"WATCHDOG=1"
        assert manager.recv(200) == b"WATCHDOG=1"
        process.send_signal(signal.SIGTERM)
        told, _ = process.communicate(timeout=60)
        while (last := manager.recv(200)) == b"WATCHDOG=1":
            pass
        assert last == b"STOPPING=1"
    assert process.returncode == 0, "no code that keeps it from being started again"
    assert "I am shutting down. Keep the valve closed. The job is kept." in told
    journal = Journal(tmp_path / FILE, SystemClock())
    assert journal.open_job() is not None
    journal.close()


def test_a_clock_that_went_back_reuses_no_job() -> None:
    now = SystemClock().utc()
    first = _job_id(now, None, ())
    second = _job_id(now, None, (first,))
    third = _job_id(now, None, (first, second))
    assert len({first, second, third}) == 3


def test_what_vouches_for_the_clock(tmp_path: Path) -> None:
    assert vouched_for(tmp_path) == ""
    chip = tmp_path / "sys/class/rtc/rtc0"
    chip.mkdir(parents=True)
    (chip / "since_epoch").write_text("946684800\n")  # a dead battery: the year 2000
    assert vouched_for(tmp_path) == ""
    (chip / "since_epoch").write_text("1777777777\n")
    assert vouched_for(tmp_path) == "clock chip"
    synchronised = tmp_path / "run/systemd/timesync"
    synchronised.mkdir(parents=True)
    (synchronised / "synchronized").touch()
    assert vouched_for(tmp_path) == "time server"

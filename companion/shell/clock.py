"""The clocks: a real one, and one that jumps, for rehearsals and tests.

Only this module reads a clock. Job time is monotonic; the wall clock is used for
dates in the record and is never trusted for timing.
"""

import datetime
import time
from pathlib import Path
from typing import Protocol

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class Clock(Protocol):
    """Seconds that never go back, and the date as far as it is known."""

    def now(self) -> float:
        """Give seconds since some fixed moment; never less than before."""

    def utc(self) -> datetime.datetime:
        """Give the wall-clock time in UTC; it may be wrong after a cold boot."""


class SystemClock:
    """The machine's clocks."""

    def now(self) -> float:
        """Give the monotonic clock [s]."""
        return time.monotonic()

    def utc(self) -> datetime.datetime:
        """Give the wall clock in UTC."""
        return datetime.datetime.now(datetime.UTC)


class ManualClock:
    """A clock that stands still until it is moved."""

    def __init__(self, start: float = 0.0) -> None:
        self._now = start
        self._epoch = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)

    def now(self) -> float:
        """Give the time it was last moved to [s]."""
        return self._now

    def move_to(self, moment: float) -> None:
        """Move forward; moving back is ignored, because time never does."""
        self._now = max(self._now, moment)

    def utc(self) -> datetime.datetime:
        """Give a made-up date that moves with the clock."""
        return self._epoch + datetime.timedelta(seconds=self._now)


def vouched_for(root: Path = Path("/")) -> str:
    """Say what vouches for the wall clock, or "" where nothing does.

    A time server does once the system says that it synchronised, and so does a clock
    chip that keeps time without power. A card alone does not: after a cold boot the
    date is the one of the last shutdown.
    """
    if (root / "run/systemd/timesync/synchronized").exists():
        return "time server"
    for chip in sorted(root.glob("sys/class/rtc/rtc*")):
        try:
            since_epoch = int((chip / "since_epoch").read_text())
        except (OSError, ValueError):
            continue
        if since_epoch > _OLDEST:
            return "clock chip"
    return ""


_OLDEST = 1_735_689_600  # 2025: a chip whose battery is dead starts at 1970 or 2000


def boot_id() -> str:
    """Give what identifies this start of the machine, or "" where nothing does."""
    try:
        return _BOOT_ID.read_text().strip()
    except OSError:
        return ""

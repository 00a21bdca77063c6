"""Between jobs, in the box: wait for the confirm button, and settle the date.

A box in a van starts with its engine, and a job begins when the technician wants one.
A clock that nothing vouches for is read out first; pressing confirm vouches for it.
"""

import contextlib
import datetime
import queue
from collections.abc import Callable
from typing import Literal

from companion.job.outputs import Say
from companion.shell.arrivals import Arrival, Inbox
from companion.shell.clock import Clock
from companion.shell.supervisor import Supervisor
from hardware import Panel, Power
from hardware import Pressed as ButtonPressed

OFF_AFTER_S = 60.0
"""With the engine off and no job, the box ends after so long [s] (own value)."""
REMIND_S = 600.0
"""The ready sentence is said again this often [s] (own value)."""

Ending = Literal["begin", "supply-gone"]


class Standby:
    """Waits for a button; see the module's text.

    ``say`` speaks a cue at once; nothing is written to any journal.
    """

    def __init__(
        self,
        *,
        clock: Clock,
        inbox: Inbox,
        panel: Panel,
        say: Callable[[Say], None],
        supervisor: Supervisor,
    ) -> None:
        self._clock = clock
        self._inbox = inbox
        self._panel = panel
        self._say = say
        self._supervisor = supervisor
        self._off_at: float | None = None

    def confirm_date(self, utc: datetime.datetime) -> bool:
        """Read the date out; tell whether the technician confirmed it."""
        day = f"{utc.day} {_MONTHS[utc.month - 1]} {utc.year}"
        self._say(Say(cue="confirm-date", values={"date": day}))
        ask_again = self._clock.now() + REMIND_S
        while self._clock.now() < ask_again:
            match self._next():
                case "confirm":
                    return True
                case "stop":
                    break
                case "say-again":
                    self._say(Say(cue="confirm-date", values={"date": day}))
                case _:
                    if self._leaving():
                        return False
        self._say(Say(cue="date-doubted"))
        return False

    def wait(self) -> Ending:
        """Wait until a job is to begin, or the supply is going."""
        said_at: float | None = None
        self._panel.show("listening", "slow")
        while True:
            now = self._clock.now()
            if said_at is None or now - said_at >= REMIND_S:
                said_at = now
                self._say(Say(cue="standby"))
            pressed = self._next()
            if pressed == "confirm":
                self._panel.show("listening", "off")
                return "begin"
            if pressed == "say-again":
                said_at = None
            if self._leaving():
                return "supply-gone"

    def _leaving(self) -> bool:
        return self._off_at is not None and self._clock.now() >= self._off_at

    def _next(self) -> str | None:
        """Wait a little; give the button that went down, if one did."""
        now = self._clock.now()
        dues = [now + 1.0, self._supervisor.alive(now)]
        change = self._panel.tick(now)
        dues += [due for due in (change, self._off_at) if due is not None]
        arrival: Arrival | None = None
        with contextlib.suppress(queue.Empty):
            arrival = self._inbox.get(timeout=max(0.0, min(dues) - now))
        if isinstance(arrival, Power):
            self._supply(arrival)
        if isinstance(arrival, ButtonPressed) and arrival.at_press == "down":
            return arrival.button
        return None

    def _supply(self, power: Power) -> None:
        now = self._clock.now()
        if power.backup:
            self._off_at = now
        elif not power.ignition:
            self._off_at = now + OFF_AFTER_S
        else:
            self._off_at = None


_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

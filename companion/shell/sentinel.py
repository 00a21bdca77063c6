"""A second watch on the close call, in a thread of its own.

The loop gives every close call. Should the loop itself hang, in a device or anywhere
else, the sentinel gives the call in its place and goes on giving it until the loop
moves again. It knows two moments: by when the loop must have been round, and by when
it must have obeyed a stop button that was pressed. While it calls it also moves the
panel's patterns on, so that the alarm keeps its rhythm.
"""

import threading
from collections.abc import Callable

from companion.shell.clock import Clock

GRACE_S = 0.25
"""How late the loop may be before the sentinel calls [s]."""
REPEAT_S = 2.0
"""The sentinel's call is repeated this often [s]."""


def _no_patterns(_: float) -> float | None:
    return None


class Sentinel:
    """Calls ``call`` when the loop has missed a moment it was armed with.

    ``tick`` moves patterns on to a time on the clock and gives the next change.
    """

    def __init__(
        self,
        clock: Clock,
        call: Callable[[], None],
        tick: Callable[[float], float | None] = _no_patterns,
    ) -> None:
        self._clock = clock
        self._call = call
        self._tick = tick
        self._due: float | None = None
        self._demanded: float | None = None
        self._calling = False
        self._stopped = False
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="sentinel", daemon=True)
        self._thread.start()

    def arm(self, due: float | None) -> None:
        """Expect the loop by ``due`` on the clock, or not at all."""
        with self._changed:
            self._due = due
            self._calling = False
            self._changed.notify()

    def demand(self) -> None:
        """Expect a stop button's press to be obeyed at once; from any thread."""
        with self._changed:
            if self._demanded is None:
                self._demanded = self._clock.now()
            self._changed.notify()

    def obeyed(self) -> None:
        """Note that the loop has obeyed the stop button."""
        with self._changed:
            self._demanded = None

    def close(self) -> None:
        """Stop watching."""
        with self._changed:
            self._stopped = True
            self._changed.notify()
        self._thread.join(timeout=2)

    def _run(self) -> None:
        with self._changed:
            while not self._stopped:
                self._changed.wait(timeout=self._look())

    def _look(self) -> float | None:
        """Call if a moment was missed; give how long nothing is due [s]."""
        dues = [due for due in (self._due, self._demanded) if due is not None]
        if not dues:
            return None
        now = self._clock.now()
        wait = min(dues) + GRACE_S - now
        if wait <= 0:
            self._call()
            self._calling = True
            again = self._clock.now() + REPEAT_S - GRACE_S
            self._due = again if self._due is not None else None
            self._demanded = again if self._demanded is not None else None
            wait = REPEAT_S
        if not self._calling:
            return wait
        change = self._tick(now)
        return wait if change is None else max(0.0, min(wait, change - now))

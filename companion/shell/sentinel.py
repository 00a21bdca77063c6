"""A second watch on the close call, in a thread of its own.

The loop gives every close call. Should the loop itself hang, in a device or anywhere
else, the sentinel gives the call in its place and goes on giving it until the loop
moves again. It knows only one moment: by when the loop must have been round.
"""

import threading
from collections.abc import Callable

from companion.shell.clock import Clock

GRACE_S = 0.25
"""How late the loop may be before the sentinel calls [s]."""
REPEAT_S = 2.0
"""The sentinel's call is repeated this often [s]."""


class Sentinel:
    """Calls ``call`` when the loop has missed a moment it was armed with."""

    def __init__(self, clock: Clock, call: Callable[[], None]) -> None:
        self._clock = clock
        self._call = call
        self._due: float | None = None
        self._stopped = False
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="sentinel", daemon=True)
        self._thread.start()

    def arm(self, due: float | None) -> None:
        """Expect the loop by ``due`` on the clock, or not at all."""
        with self._changed:
            self._due = due
            self._changed.notify()

    def close(self) -> None:
        """Stop watching."""
        with self._changed:
            self._stopped = True
            self._changed.notify()
        self._thread.join(timeout=2)

    def _run(self) -> None:
        with self._changed:
            while not self._stopped:
                wait = None
                if self._due is not None:
                    wait = self._due + GRACE_S - self._clock.now()
                    if wait <= 0:
                        self._call()
                        self._due = self._clock.now() + REPEAT_S - GRACE_S
                        continue
                self._changed.wait(timeout=wait)

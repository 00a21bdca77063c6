"""Tell the service manager that the program is ready, alive, or stopping.

Without a service manager every call does nothing. The watchdog is fed by the loop that
gives the cues and by nothing else: a program that cannot give a close call must not
pass for alive. It is fed at half the interval the manager asks for.

References
----------
systemd's sd_notify protocol: NOTIFY_SOCKET, READY, WATCHDOG, STOPPING, STATUS.
"""

import contextlib
import os
import socket
from collections.abc import Mapping

NEVER = float("inf")


class Supervisor:
    """The service manager's end of a datagram socket."""

    def __init__(self, environment: Mapping[str, str] | None = None) -> None:
        given = os.environ if environment is None else environment
        path = given.get("NOTIFY_SOCKET", "")
        self._address = "\0" + path[1:] if path.startswith("@") else path
        mine = given.get("WATCHDOG_PID", "") in ("", str(os.getpid()))
        limit = int(given.get("WATCHDOG_USEC", "0")) / 1e6 if mine else 0.0
        self.every_s = limit / 2 if self._address and limit else NEVER
        self._fed_at = -NEVER

    def ready(self, status: str) -> None:
        """Say that the program listens."""
        self._send(f"READY=1\nSTATUS={status}")

    def alive(self, now: float) -> float:
        """Feed the watchdog if it is time; give the moment it is due next [s]."""
        if now - self._fed_at >= self.every_s:
            self._fed_at = now
            self._send("WATCHDOG=1")
        return self._fed_at + self.every_s

    def stopping(self) -> None:
        """Say that the program ends by itself."""
        self._send("STOPPING=1")

    def _send(self, text: str) -> None:
        if not self._address:
            return
        # A manager that does not listen must not keep a close call from going out.
        with (
            contextlib.suppress(OSError),
            socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as out,
        ):
            out.settimeout(0.1)
            out.connect(self._address)
            out.sendall(text.encode())

"""The van's supply: ignition and backup power, on two pins, by the caller's time.

Cranking the engine makes the ignition dip, so it counts as off only after a while;
backup power counts at once, because its seconds are few. Both pins are optional: a box
without these wires must not be opened with them, since an open input reads as "off".
"""

from contextlib import ExitStack
from threading import Lock
from typing import Any

from gpiozero import DigitalInputDevice

from hardware import pins
from hardware.ports import Power

CRANKING_S = 3.0
"""The ignition may dip for so long while the engine is cranked [s] (own value)."""


class VanSupply:
    """Ignition (low when on, through the opto-isolator) and backup power (high when on).

    :meth:`tick` gives a :class:`~hardware.ports.Power` when it has changed, else None.
    """

    def __init__(self, factory: Any) -> None:
        self._lock = Lock()
        with ExitStack() as opened:
            self._ignition = opened.enter_context(
                DigitalInputDevice(pins.IGNITION, pull_up=True, pin_factory=factory)
            )
            self._backup = opened.enter_context(
                DigitalInputDevice(
                    pins.BACKUP_POWER, pull_up=False, pin_factory=factory
                )
            )
            self._opened = opened.pop_all()
        self._off_since: float | None = None
        self._said = Power(ignition=True, backup=False)

    def tick(self, now: float) -> Power | None:
        """Look at both pins at ``now`` [s]."""
        if self._ignition.is_active:
            self._off_since = None
        elif self._off_since is None:
            self._off_since = now
        off = self._off_since is not None and now - self._off_since >= CRANKING_S
        power = Power(ignition=not off, backup=bool(self._backup.is_active))
        if power == self._said:
            return None
        self._said = power
        return power

    def close(self) -> None:
        """Let the pins go; closing twice is allowed."""
        self._opened.close()

"""What devices put on the loop's one queue, from any thread; and that queue."""

import queue
from collections.abc import Callable
from dataclasses import dataclass

from hardware import Fault, Power, Reading
from hardware import Pressed as ButtonPressed
from speech import Lost


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """The record's thread has done some work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A listener has something, or the speaker began or ended."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A device that was lost works again; ``device`` is the engine's name for it."""

    device: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensed:
    """Every sensor's reading or fault, read at ``at`` on the clock [s]."""

    at: float
    found: tuple[Reading | Fault, ...]


Arrival = Written | Ready | Found | Sensed | Power | ButtonPressed | Lost


class Inbox(queue.Queue[Arrival]):
    """The queue; a press of the stop button is told at once, in its own thread.

    ``on_stop`` must be quick: it only tells the second watch that a stop is due.
    """

    def __init__(self) -> None:
        super().__init__()
        self.on_stop: Callable[[], None] = _nothing

    def put(
        self, item: Arrival, block: bool = True, timeout: float | None = None
    ) -> None:
        """Put an arrival on the queue."""
        if is_stop(item):
            self.on_stop()
        super().put(item, block, timeout)


def is_stop(arrival: Arrival) -> bool:
    """Tell whether this is the stop button going down."""
    return (
        isinstance(arrival, ButtonPressed)
        and arrival.button == "stop"
        and arrival.at_press == "down"
    )


def _nothing() -> None:
    pass

"""The keyboard as listener and the screen as speaker: the same ports, no devices."""

import threading
from collections import deque
from collections.abc import Callable
from typing import TextIO

from speech.ports import Heard, Lost, Pattern
from speech.vocabulary import Vocabulary


class TypedListener:
    """Takes each line of a text stream as something said, with full confidence.

    A thread reads the stream. ``ready`` is called from it when :meth:`poll` has
    something. The end of the stream comes out as :class:`Lost`. Lines have no length
    in time: ``begin`` and ``end`` are the number of the line.
    """

    def __init__(self, lines: TextIO, ready: Callable[[], None] = lambda: None) -> None:
        self._lines = lines
        self._ready = ready
        self._results: deque[Heard | Lost] = deque()
        self._closed = False
        self._thread = threading.Thread(
            target=self._read, name="typed-listener", daemon=True
        )
        self._thread.start()

    def _read(self) -> None:
        for count, line in enumerate(self._lines, start=1):
            if self._closed:
                return
            if line.strip():
                self._results.append(
                    Heard(
                        words=line.strip(),
                        confidence=1.0,
                        sure=True,
                        engine="typed",
                        begin=float(count),
                        end=float(count),
                    )
                )
                self._ready()
        if not self._closed:
            self._results.append(
                Lost(device="listener", reason="the typed lines have ended")
            )
            self._ready()

    @property
    def pending(self) -> bool:
        """True while a typed line waits to be taken."""
        return bool(self._results)

    def expect(self, vocabulary: Vocabulary) -> None:
        """Do nothing: anything can be typed, and understanding decides."""

    def mute(self, muted: bool) -> None:
        """Do nothing: a keyboard does not hear the speaker."""

    def poll(self) -> list[Heard | Lost]:
        """Give the lines typed since the last call."""
        return [self._results.popleft() for _ in range(len(self._results))]

    def settle(self, seconds: float = 10.0) -> list[Heard | Lost]:
        """Wait for the end of the lines, at most ``seconds``, and give all of them."""
        self._thread.join(seconds)
        return self.poll()

    def close(self) -> None:
        """Take no more lines; the stream itself belongs to the caller."""
        self._closed = True


class PrintingSpeaker:
    """Writes what would be said, one line a sentence, and tones in brackets."""

    talking = False

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def say(self, text: str, *, urgent: bool = False, instead: bool = False) -> None:  # noqa: ARG002
        """Write a sentence; an urgent one is marked."""
        self._write(f"!! {text}" if urgent else text)

    def tone(self, pattern: Pattern, *, urgent: bool = False) -> None:  # noqa: ARG002
        """Write the name of the pattern."""
        self._write(f"[{pattern} tone]")

    def _write(self, line: str) -> None:
        self._out.write(line + "\n")
        self._out.flush()

    def close(self) -> None:
        """Do nothing: the stream belongs to the caller."""

"""A child process that answers one question at a time, and may die without harm.

The child is spawned, never forked, so it shares no memory, thread or library state
with its parent; the price is that whatever starts it must be importable without side
effects. Questions and answers are pickled through a pipe.
"""

import logging
import multiprocessing
import os
import signal
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from typing import Any

from speech.ports import SpeechError

log = logging.getLogger(__name__)

_CLOSING_SECONDS = 2.0
_TOLD = "it was told to end"

Make = Callable[..., Callable[[Any], Any]]
"""A function of a module that builds, in the child, the function that answers."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """What the child answered."""

    value: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """The child is alive, but could not answer this question."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Died:
    """The child ended, never started, or was ended since it took too long."""

    reason: str


class Child:
    """One child process; started with :meth:`start`, again after it died."""

    def __init__(self, make: Make, arguments: tuple[Any, ...], name: str) -> None:
        self._make = make
        self._arguments = arguments
        self._name = name
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection | None = None
        self._set_up = False

    @property
    def running(self) -> bool:
        """True from the start until death was noticed or :meth:`close`."""
        return self._process is not None

    @property
    def process_id(self) -> int | None:
        """The number of the process; None when there is none."""
        return None if self._process is None else self._process.pid

    def start(self) -> None:
        """Start the process; returns at once, while it still sets itself up."""
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(
            target=_serve,
            args=(theirs, self._make, self._arguments),
            name=self._name,
            daemon=True,
        )
        process.start()
        theirs.close()
        self._process, self._pipe, self._set_up = process, ours, False

    def wait_for(self, wake: Connection) -> Died | None:
        """Wait until ``wake`` can be read, or the idle child dies."""
        if self._process is None:
            wait([wake])
            return None
        ready = wait([wake, self._process.sentinel])
        return None if wake in ready else self._death("it ended by itself")

    def ask(
        self,
        question: Any,
        seconds: float,
        set_up_seconds: float = 120.0,
        cancel: Connection | None = None,
    ) -> Answer | Broken | Died:
        """Put a question and wait for the answer, at most ``seconds``.

        The first question may wait ``set_up_seconds`` more for the child to set itself
        up. Something to read on ``cancel`` ends the child at once.
        """
        if self._process is None or self._pipe is None:
            self.start()
        died = self.set_up(set_up_seconds, cancel)
        if died is not None:
            return died
        try:
            assert self._pipe is not None  # noqa: S101 - started above
            self._pipe.send(question)
        except OSError:
            return self._death("it ended by itself")
        return self._receive(seconds, cancel)

    def set_up(
        self, seconds: float = 120.0, cancel: Connection | None = None
    ) -> Died | None:
        """Wait until a started child is ready for questions; give why it died, if so."""
        if self._set_up:
            return None
        answer = self._receive(seconds, cancel)
        if isinstance(answer, Broken):
            return self._death(answer.reason)
        if isinstance(answer, Died):
            return answer
        self._set_up = True
        return None

    def _receive(
        self, seconds: float, cancel: Connection | None
    ) -> Answer | Broken | Died:
        pipe, process = self._pipe, self._process
        if pipe is None or process is None:
            return Died(reason=f"the {self._name} is not running")
        watched: list[Connection | int] = [pipe, process.sentinel]
        if cancel is not None:
            watched.append(cancel)
        ready = wait(watched, seconds)
        if pipe in ready:
            try:
                received = pipe.recv()
            except (EOFError, OSError):
                return self._death("it ended by itself")
            if isinstance(received, Answer | Broken):
                return received
            raise TypeError(f"the {self._name} sent {type(received).__name__}")
        if process.sentinel in ready:
            return self._death("it ended by itself")
        if ready:
            return self._death(_TOLD)
        return self._death(f"no answer within {seconds:g} s")

    def _death(self, why: str) -> Died:
        process = self._process
        last = self._last_words() or why
        self.close()
        code = "" if process is None else f" (exit code {process.exitcode})"
        if why != _TOLD:
            log.warning("the %s died: %s%s", self._name, last, code)
        return Died(reason=f"the {self._name} died: {last}{code}")

    def _last_words(self) -> str:
        """Give the reason that a child sent before it ended, if it did."""
        try:
            while self._pipe is not None and self._pipe.poll():
                received = self._pipe.recv()
                if isinstance(received, Broken):
                    return received.reason
        except (EOFError, OSError):
            pass
        return ""

    def close(self) -> None:
        """End the process now; may be called twice."""
        process, pipe = self._process, self._pipe
        self._process = self._pipe = None
        if pipe is not None:
            pipe.close()
        if process is not None:
            process.kill()
            process.join(_CLOSING_SECONDS)


def _serve(pipe: Connection, make: Make, arguments: tuple[Any, ...]) -> None:
    """Run in the child: set up, then answer until the parent goes away."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides when to end
    _silence_output()
    try:
        answer = make(*arguments)
    except Exception as problem:  # noqa: BLE001 - the parent reports it
        pipe.send(Broken(reason=_in_one_line(problem)))
        return
    pipe.send(Answer(value=None))
    while True:
        try:
            question = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            reply: Answer | Broken = Answer(value=answer(question))
        except SpeechError as problem:
            reply = Broken(reason=_in_one_line(problem))
        except Exception as problem:  # noqa: BLE001 - the parent reports it
            traceback.print_exc()
            reply = Broken(reason=_in_one_line(problem))
        try:
            pipe.send(reply)
        except OSError:
            return


def _silence_output() -> None:
    """Keep libraries that print from writing into the parent's output."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)


def _in_one_line(problem: Exception) -> str:
    kind = "" if isinstance(problem, SpeechError) else f"{type(problem).__name__}: "
    return " ".join(f"{kind}{problem}".split())

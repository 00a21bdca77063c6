"""Run a recogniser in a process of its own, so that it can neither block nor crash us.

:class:`EngineProcess` takes utterances and gives results in the same order. When the
process dies, the utterance it was busy with is lost, which is reported, and the process
is started again; after three deaths without a result in between it stays down.
"""

import os
import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from multiprocessing import Pipe

from speech.child import Answer, Broken, Child, Died
from speech.decoding import Decoded, EngineChoice, Question, build_engine
from speech.noise_level import over_noise_db
from speech.ports import DeviceError, Heard, Lost
from speech.segmenter import Segment
from speech.sound import RATE
from speech.vocabulary import Vocabulary

_MOST_DEATHS = 3
_SECONDS_EACH = 20.0
_POLITE = 5  # steps down in priority: decoding must never hold up a close call
_SECONDS_A_SECOND = 10.0  # so much slower than the sound is broken, not busy


def _nothing() -> None:
    pass


def _make_answering(
    choice: EngineChoice,
) -> Callable[[Question], Decoded | tuple[str, ...]]:
    os.nice(_POLITE)
    engine = build_engine(choice)

    def answer(question: Question) -> Decoded | tuple[str, ...]:
        if question.segment is None:
            return engine.unknown_words(question.vocabulary)
        return engine.decode(question.segment, question.vocabulary)

    return answer


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Job:
    question: Question
    done: Callable[[object], None]
    failed: Callable[[str], None]

    @property
    def seconds(self) -> float:
        segment = self.question.segment
        length = 0 if segment is None else len(segment.samples) / RATE
        return _SECONDS_EACH + _SECONDS_A_SECOND * length


class EngineProcess:
    """An engine at arm's length: submit utterances, take results, never wait.

    ``ready`` is called from a thread whenever :meth:`poll` has something.
    """

    def __init__(
        self, choice: EngineChoice, ready: Callable[[], None] = lambda: None
    ) -> None:
        self.engine = choice.engine
        self._ready = ready
        self._child = Child(_make_answering, (choice,), f"{choice.engine} recogniser")
        self._jobs: deque[_Job] = deque()
        self._results: deque[Heard | Lost] = deque()
        self._open = 0
        self._deaths = 0
        self._reviving = False
        self.revived: Callable[[], None] = _nothing
        """Called from a thread when a process that died is ready again."""
        self._closed = False
        self._change = threading.Condition()
        self._woken, self._wake = Pipe(duplex=False)
        self._ended, self._end = Pipe(duplex=False)
        self._thread = threading.Thread(
            target=self._run, name="recogniser", daemon=True
        )
        self._thread.start()

    @property
    def pending(self) -> bool:
        """True while something submitted has not come out of :meth:`poll`."""
        with self._change:
            return bool(self._open or self._results)

    @property
    def process_id(self) -> int | None:
        """The number of the engine's process; None when it is down."""
        return self._child.process_id

    def submit(self, segment: Segment, vocabulary: Vocabulary) -> None:
        """Have an utterance decoded; returns at once."""

        def done(value: object) -> None:
            if not isinstance(value, Decoded):
                raise TypeError(f"the recogniser gave {type(value).__name__}")
            self._give(_heard(value, segment, self.engine))

        def failed(reason: str) -> None:
            self._give(Lost(device="listener", reason=reason))

        question = Question(segment=segment, vocabulary=vocabulary)
        self._add(_Job(question=question, done=done, failed=failed))

    def poll(self) -> list[Heard | Lost]:
        """Give the results that are ready, oldest first."""
        with self._change:
            ready = list(self._results)
            self._results.clear()
        return ready

    def settle(self, seconds: float = 120.0) -> list[Heard | Lost]:
        """Wait until all that was submitted is decoded and give the results.

        After ``seconds`` it gives what there is.
        """
        with self._change:
            self._change.wait_for(lambda: not self._open or self._closed, seconds)
        return self.poll()

    def unknown_words(
        self, vocabulary: Vocabulary, seconds: float = 120.0
    ) -> tuple[str, ...]:
        """Ask which words of a vocabulary the engine can never hear; waits.

        Raises
        ------
        DeviceError
            If the engine does not answer.
        """
        words: Future[object] = Future()
        self._add(
            _Job(
                question=Question(segment=None, vocabulary=vocabulary),
                done=words.set_result,
                failed=lambda reason: words.set_exception(DeviceError(reason)),
            )
        )
        try:
            found = words.result(seconds)
        except TimeoutError as problem:
            raise DeviceError(f"the {self.engine} recogniser is silent") from problem
        if not isinstance(found, tuple):
            raise TypeError(f"the recogniser gave {type(found).__name__}")
        return found

    def close(self) -> None:
        """End the process and the thread; may be called twice."""
        with self._change:
            if self._closed:
                return
            self._closed = True
            self._change.notify_all()
        self._end.send_bytes(b"x")
        self._wake.send_bytes(b"x")
        self._thread.join()
        for pipe in (self._woken, self._wake, self._ended, self._end):
            pipe.close()

    def _add(self, job: _Job) -> None:
        with self._change:
            if self._closed:
                raise DeviceError(f"the {self.engine} recogniser is closed")
            self._jobs.append(job)
            self._open += 1
        self._wake.send_bytes(b"x")

    def _run(self) -> None:
        self._child.start()
        while not self._closed:
            if self._reviving:
                self._revive()
            elif self._jobs:
                self._do(self._jobs.popleft())
                with self._change:
                    self._open -= 1
                    self._change.notify_all()
            else:
                self._idle()
        self._child.close()
        while self._jobs:
            self._jobs.popleft().failed(f"the {self.engine} recogniser is closed")

    def _revive(self) -> None:
        self._reviving = False
        died = self._child.set_up(cancel=self._ended)
        if died is None:
            self._deaths = 0
            self.revived()
        elif not self._closed:
            self._give(Lost(device="listener", reason=self._after(died)))

    def _idle(self) -> None:
        died = self._child.wait_for(self._woken)
        if died is None:
            self._woken.recv_bytes()
        else:
            self._give(Lost(device="listener", reason=self._after(died)))

    def _do(self, job: _Job) -> None:
        if not self._child.running:
            job.failed(f"the {self.engine} recogniser is down")
            return
        match self._child.ask(job.question, job.seconds, cancel=self._ended):
            case Answer(value=value):
                self._deaths = 0
                job.done(value)
            case Broken(reason=reason):
                job.failed(f"not decoded: {reason}")
            case Died() as died:
                job.failed(self._after(died))

    def _after(self, died: Died) -> str:
        """Start again after a death, if that makes sense; gives what to report."""
        self._deaths += 1
        if self._closed or self._deaths >= _MOST_DEATHS:
            return f"{died.reason}; it stays down: restart the program"
        self._child.start()
        self._reviving = True
        return f"{died.reason}; starting it again"

    def _give(self, result: Heard | Lost) -> None:
        with self._change:
            self._results.append(result)
        self._ready()


def _heard(decoded: Decoded, segment: Segment, engine: str) -> Heard:
    return Heard(
        words=decoded.words,
        confidence=decoded.confidence,
        sure=decoded.sure,
        engine=engine,
        begin=segment.begin,
        end=segment.end,
        guesses=decoded.guesses,
        rest=decoded.rest,
        over_noise=over_noise_db(segment),
    )

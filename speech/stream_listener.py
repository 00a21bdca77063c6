"""A listener on a stream of samples: cuts it, decodes in another process, collects.

Time is counted in samples fed, so results carry the place in the stream that they were
heard at, however late they come.
"""

import threading
from pathlib import Path

from speech.engine_process import EngineProcess
from speech.ports import DeviceError, Heard, Lost
from speech.segmenter import Segmenter, SegmenterSettings
from speech.sound import RATE, Samples, read_wav
from speech.vocabulary import ALWAYS, Vocabulary

_STEP = RATE // 10  # samples of a file fed at a time


class StreamListener:
    """Feed it samples, tell it what may be said, poll it for what was.

    :meth:`feed` never waits for decoding. Owns and closes the engine.
    """

    def __init__(
        self, engine: EngineProcess, settings: SegmenterSettings | None = None
    ) -> None:
        self._engine = engine
        self._segmenter = Segmenter(settings)
        self._vocabulary = Vocabulary()
        self._next: Vocabulary | None = None
        self._muted = False
        self._lock = threading.Lock()

    @property
    def pending(self) -> bool:
        """True while an utterance goes on, is being decoded or waits to be taken."""
        with self._lock:
            return self._segmenter.in_speech or self._engine.pending

    @property
    def seconds(self) -> float:
        """Length of the stream so far [s]."""
        with self._lock:
            return self._segmenter.seconds

    def expect(self, vocabulary: Vocabulary) -> None:
        """Listen for this from the next utterance on."""
        with self._lock:
            if self._segmenter.in_speech:
                self._next = vocabulary
            else:
                self._vocabulary, self._next = vocabulary, None

    def feed(self, samples: Samples) -> None:
        """Take in 16 kHz mono samples; quick, safe to call from another thread."""
        with self._lock:
            if self._muted:
                self._segmenter.skip(len(samples))
                return
            for segment in self._segmenter.feed(samples):
                self._engine.submit(segment, self._vocabulary)
                self._take_next()

    def mute(self, muted: bool) -> None:
        """Drop sound while true; the estimate of the noise stays.

        An utterance that this cuts short is decoded for the always-obeyed controls
        only, since half a number is another number.
        """
        with self._lock:
            if muted and not self._muted:
                urgent = tuple(
                    control
                    for control in self._vocabulary.controls
                    if control in ALWAYS
                )
                for segment in self._segmenter.flush():
                    if urgent:
                        cut = Vocabulary(controls=urgent, wary=self._vocabulary.wary)
                        self._engine.submit(segment, cut)
                self._take_next()
            self._muted = muted

    def learn(self, samples: Samples) -> None:
        """Take the noise of the place from the quieter part of this sound."""
        with self._lock:
            self._segmenter.learn(samples)

    def poll(self) -> list[Heard | Lost]:
        """Give the results that are ready, oldest first, without waiting."""
        return self._engine.poll()

    def settle(self, seconds: float = 120.0) -> list[Heard | Lost]:
        """End the utterance going on, wait for all to be decoded, give the results."""
        with self._lock:
            for segment in self._segmenter.flush():
                self._engine.submit(segment, self._vocabulary)
            self._take_next()
        return self._engine.settle(seconds)

    def close(self) -> None:
        """End the engine's process; may be called twice."""
        self._engine.close()

    def _take_next(self) -> None:
        if self._next is not None:
            self._vocabulary, self._next = self._next, None


def hear_file(
    path: Path | str, vocabulary: Vocabulary, listener: StreamListener
) -> list[Heard]:
    """Hear a whole WAV file at once and give what was said in it.

    Other rates than 16 kHz are resampled and channels averaged.

    Raises
    ------
    SpeechFileError
        If the file is missing, empty or no 16-bit WAV.
    DeviceError
        If the recogniser died over it.
    """
    return hear_samples(read_wav(path).samples, vocabulary, listener, str(path))


def hear_samples(
    samples: Samples, vocabulary: Vocabulary, listener: StreamListener, name: str
) -> list[Heard]:
    """Hear a whole sound at once, as :func:`hear_file` does; ``name`` is for errors."""
    listener.learn(samples)
    listener.expect(vocabulary)
    for start in range(0, len(samples), _STEP):
        listener.feed(samples[start : start + _STEP])
    heard: list[Heard] = []
    for result in listener.settle():
        if isinstance(result, Lost):
            raise DeviceError(f"{name}: not heard to the end: {result.reason}")
        heard.append(result)
    return heard

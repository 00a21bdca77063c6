"""Cut a stream into utterances in steady noise.

The power of 60 ms in bands of the voice range is compared with a running estimate of
the noise there. A frame is loud when its mean log likelihood ratio of "voice and noise"
against "noise alone" is high; bands below the noise do not count, so a voice is found
even where a fan drowns part of it. A few loud frames begin an utterance, half a second
without one ends it.

References
----------
J. Sohn, N. S. Kim and W. Sung, "A statistical model-based voice activity detection",
IEEE Signal Processing Letters 6 (1999): the likelihood ratio.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speech.sound import RATE, Floats, Samples

FRAME = 320
"""Samples in a frame: 20 ms."""

_SIZE = 512
_WINDOW = np.hanning(FRAME)
_EDGES_HZ = (200, 400, 600, 850, 1150, 1500, 1900, 2400, 3000, 3800)
_EDGES = [round(edge * _SIZE / RATE) for edge in _EDGES_HZ]
_LEAST_POWER = 1e3  # a quiet room; keeps digital silence from making every click loud
_SMOOTH = 3  # frames
_START_FRAMES = 25  # half a second to learn the noise at the start of a stream
_LEARN_SHARE = 0.2  # of a whole file's frames are taken to be quiet
_LEARN_FRAMES = 20  # the quietest 0.4 s of a file is its noise
_FOLLOW = 0.02  # part of the gap to the noise closed each frame: about one second


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmenterSettings:
    """How utterances are cut; lengths in seconds.

    ``loud`` is the likelihood ratio that begins an utterance and ``audible`` the lower
    one that keeps it going; steady noise stays below 0.2. ``quiet`` ends an utterance.
    ``onset`` is how much of the last 0.12 s must be loud. ``before`` and ``after`` are
    kept around the loud part, ``noise`` is how much sound before that is handed along
    for noise reduction. Less than ``least`` is no utterance; ``most`` cuts a long one.
    ``within_db`` keeps of an utterance only what is no more than so far under its
    loudest part, without longer pauses: a near voice over a far one.
    """

    loud: float = 0.35
    audible: float = 0.25
    onset: float = 0.08
    quiet: float = 0.56
    before: float = 0.24
    after: float = 0.16
    least: float = 0.12
    most: float = 8.0
    noise: float = 1.0
    within_db: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segment:
    """One utterance with the sound before it; times are seconds of the stream."""

    samples: Samples
    noise_before: Samples
    begin: float
    end: float


class Segmenter:
    """Feed it any amount of sound at a time; it gives the utterances that ended."""

    def __init__(self, settings: SegmenterSettings | None = None) -> None:
        self._settings = settings or SegmenterSettings()
        self._window = round(0.12 * RATE / FRAME)
        self._buffer = np.zeros(0, dtype=np.int16)
        self._start = 0  # stream position of the buffer's first sample
        self._at = 0  # stream position of the next frame to judge
        self._floor: Floats | None = None
        self._learning: list[Floats] = []
        self._loud: list[bool] = []
        self._recent: list[Floats] = []
        self._begin: int | None = None
        self._last_loud = 0
        self._loud_frames = 0
        self._ended = 0
        self._noise = np.zeros(0, dtype=np.int16)

    @property
    def in_speech(self) -> bool:
        """True from the onset of an utterance to its end."""
        return self._begin is not None

    @property
    def seconds(self) -> float:
        """Length of the stream so far [s]."""
        return (self._start + len(self._buffer)) / RATE

    def learn(self, samples: Samples) -> None:
        """Take the noise from the quieter part of this sound, as for a whole file."""
        bands = _bands(samples)
        if not len(bands):
            return
        self._floor = _quiet_level(bands, _LEARN_SHARE)
        length = min(len(bands), _LEARN_FRAMES)
        loudness = np.convolve(np.log(bands).mean(axis=1), np.ones(length), "valid")
        start = int(np.argmin(loudness)) * FRAME
        self._noise = samples[start : start + length * FRAME].copy()

    def feed(self, samples: Samples) -> list[Segment]:
        """Take in sound and give the utterances that ended in it."""
        self._buffer = np.concatenate((self._buffer, samples))
        waiting = self._buffer[self._at - self._start :]
        found: list[Segment] = []
        for band in _bands(waiting):
            self._at += FRAME
            segment = self._judge(band)
            if segment is not None:
                found.append(segment)
        self._forget()
        return found

    def skip(self, count: int) -> None:
        """Let ``count`` samples pass unheard; the noise estimate stays."""
        self._start += len(self._buffer) + count
        self._buffer = self._buffer[:0]
        self._at = self._ended = self._start
        self._begin = None
        self._loud.clear()

    def flush(self) -> list[Segment]:
        """End the utterance that is going on, as at the end of a file."""
        segment = None if self._begin is None else self._finish()
        return [] if segment is None else [segment]

    def _judge(self, band: Floats) -> Segment | None:
        if self._floor is None:
            self._learning.append(band)
            if len(self._learning) == _START_FRAMES:
                self._floor = _quiet_level(np.array(self._learning))
            return None
        self._recent = [*self._recent, band][-2 * RATE // FRAME :]
        ratio = _likelihood(np.mean(self._recent[-_SMOOTH:], axis=0) / self._floor)
        settings = self._settings
        loud = ratio > (settings.audible if self.in_speech else settings.loud)
        self._loud = [*self._loud, loud][-self._window :]
        if self._begin is not None:
            return self._look_for_end(loud)
        if not loud:
            self._floor = self._floor + _FOLLOW * (band - self._floor)
        self._look_for_onset()
        return None

    def _look_for_onset(self) -> None:
        if sum(self._loud) * FRAME < self._settings.onset * RATE:
            return
        first = self._at - FRAME * (len(self._loud) - self._loud.index(True))
        begin = first - round(self._settings.before * RATE)
        self._begin = max(begin, self._ended, self._start)
        self._loud_frames = sum(self._loud)
        self._last_loud = self._at

    def _look_for_end(self, loud: bool) -> Segment | None:
        if loud:
            self._last_loud = self._at
            self._loud_frames += 1
        if self._at - self._last_loud >= self._settings.quiet * RATE:
            return self._finish()
        if self._at - (self._begin or 0) >= self._settings.most * RATE:
            # A fan that started is loud without end: take it as the new noise.
            self._floor = _quiet_level(np.array(self._recent))
            return self._finish()
        return None

    def _finish(self) -> Segment | None:
        begin = self._begin or 0
        end = min(self._last_loud + round(self._settings.after * RATE), self._at)
        self._begin = None
        self._loud.clear()
        noise_from = max(begin - round(self._settings.noise * RATE), self._ended)
        before = self._cut(noise_from, begin)
        if len(before) > min(self._settings.noise / 3 * RATE, len(self._noise)):
            self._noise = before
        self._ended = end
        if self._loud_frames * FRAME < self._settings.least * RATE:
            return None
        begin, end = self._near(begin, end)
        return Segment(
            samples=self._cut(begin, end),
            noise_before=self._noise,
            begin=begin / RATE,
            end=end / RATE,
        )

    def _near(self, begin: int, end: int) -> tuple[int, int]:
        """Narrow an utterance to its loudest part, if the settings ask for it."""
        settings = self._settings
        bands = _bands(self._cut(begin, end))
        if settings.within_db is None or len(bands) <= _SMOOTH:
            return begin, end
        power = np.convolve(bands.mean(axis=1), np.ones(_SMOOTH), "same")
        top = int(np.argmax(power))
        loud = np.flatnonzero(power > power[top] / 10 ** (settings.within_db / 10))
        at = int(np.searchsorted(loud, top))
        pauses = np.flatnonzero(np.diff(loud) * FRAME > settings.quiet * RATE)
        first = loud[max((p + 1 for p in pauses if p < at), default=0)]
        last = loud[min((p for p in pauses if p >= at), default=len(loud) - 1)]
        before, after = round(settings.before * RATE), round(settings.after * RATE)
        narrow = begin + int(first) * FRAME - before
        return max(begin, narrow), min(end, begin + int(last + 1) * FRAME + after)

    def _cut(self, begin: int, end: int) -> Samples:
        return self._buffer[max(begin - self._start, 0) : end - self._start].copy()

    def _forget(self) -> None:
        keep = self._begin if self._begin is not None else self._at
        lead = self._settings.noise + self._settings.before + 0.2
        drop = keep - round(lead * RATE) - self._start
        if drop > 0:
            self._buffer = self._buffer[drop:]
            self._start += drop


def _bands(samples: npt.NDArray[np.int16]) -> Floats:
    """Give each whole frame's mean power in the bands."""
    count = len(samples) // FRAME
    frames = samples[: count * FRAME].reshape(count, FRAME) * _WINDOW
    power = np.abs(np.fft.rfft(frames, _SIZE, axis=1)) ** 2
    summed = np.add.reduceat(power, _EDGES, axis=1)[:, :-1]
    return np.asarray(summed / np.diff(_EDGES) + _LEAST_POWER)


def _likelihood(ratio: Floats) -> float:
    above = np.maximum(ratio, 1)
    return float(np.mean(above - 1 - np.log(above)))


def _quiet_level(bands: Floats, share: float = 0.5) -> Floats:
    """Give the level that the quieter share of the frames is near."""
    order = np.argsort(np.log(bands).mean(axis=1))
    return np.asarray(bands[order[: max(1, round(len(order) * share))]].mean(axis=0))

"""Samples: 16-bit mono at 16 kHz inside the kit; reading files and changing rates."""

import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from speech.ports import SpeechFileError

RATE = 16_000
"""Samples a second everywhere inside the kit [Hz]."""

Samples = npt.NDArray[np.int16]
Floats = npt.NDArray[np.float64]

_LOWEST_RATE = 8_000
_HIGHEST_RATE = 192_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sound:
    """Mono samples and how many of them make a second [Hz]."""

    samples: Samples
    rate: int = RATE

    @property
    def seconds(self) -> float:
        """Length [s]."""
        return len(self.samples) / self.rate

    def at(self, rate: int = RATE) -> "Sound":
        """Give the same sound at another rate [Hz]."""
        if rate == self.rate:
            return self
        return Sound(samples=resample(self.samples, self.rate, rate), rate=rate)


def to_samples(values: npt.NDArray[np.floating]) -> Samples:
    """Round to 16 bits; what is too loud is clipped."""
    clipped = np.clip(np.rint(values), -32768, 32767)
    return np.asarray(clipped, dtype=np.int16)


def resample(samples: npt.NDArray[np.number], old: float, new: float) -> Samples:
    """Change the rate by cutting or padding the spectrum.

    Nothing above half the lower rate survives, so there is no aliasing.
    """
    if not len(samples) or old == new:
        return to_samples(samples.astype(np.float64))
    length = max(1, round(len(samples) * new / old))
    spectrum = np.fft.rfft(samples.astype(np.float64))
    kept = np.zeros(length // 2 + 1, dtype=np.complex128)
    shared = min(len(kept), len(spectrum))
    kept[:shared] = spectrum[:shared]
    return to_samples(np.fft.irfft(kept, length) * (length / len(samples)))


def read_wav(path: Path | str) -> Sound:
    """Read a WAV file as 16 kHz mono; channels are averaged, other rates resampled.

    Raises
    ------
    SpeechFileError
        As :func:`read_wav_as_it_is`.
    """
    return read_wav_as_it_is(path).at(RATE)


def read_wav_as_it_is(path: Path | str) -> Sound:
    """Read a WAV file as mono at its own rate; channels are averaged.

    Raises
    ------
    SpeechFileError
        If the file is missing, no WAV, empty, not 16-bit, or at a rate outside 8 kHz
        to 192 kHz; the message names the file and what would be right.
    """
    where = Path(path)
    try:
        with wave.open(str(where)) as file:
            channels, width, rate = file.getparams()[:3]
            data = file.readframes(file.getnframes())
    except FileNotFoundError as problem:
        raise SpeechFileError(f"{where}: there is no such file") from problem
    except (wave.Error, EOFError) as problem:
        raise SpeechFileError(
            f"{where}: not a plain WAV file ({str(problem) or 'cut short'}); "
            "record it as 16-bit WAV"
        ) from problem
    except OSError as problem:
        raise SpeechFileError(f"{where}: {problem.strerror or problem}") from problem
    if width != 2:
        raise SpeechFileError(f"{where}: {8 * width}-bit samples; record 16-bit")
    if not _LOWEST_RATE <= rate <= _HIGHEST_RATE:
        raise SpeechFileError(
            f"{where}: {rate} samples a second; record 16000, at least {_LOWEST_RATE}"
        )
    whole = len(data) // (2 * channels) * channels
    frames = np.frombuffer(data, dtype="<i2", count=whole).reshape(-1, channels)
    if not len(frames):
        raise SpeechFileError(f"{where}: holds no sound")
    return Sound(samples=to_samples(frames.mean(axis=1)), rate=rate)


def write_wav(path: Path | str, sound: Sound) -> None:
    """Write a 16-bit mono WAV file.

    Raises
    ------
    SpeechFileError
        If the file cannot be written.
    """
    try:
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(sound.rate)
            file.writeframes(sound.samples.astype("<i2").tobytes())
    except OSError as problem:
        raise SpeechFileError(f"{path}: {problem.strerror or problem}") from problem

"""Take steady noise out of a phrase, judged from the second before it.

A Wiener filter whose signal-to-noise estimate is decision-directed: mostly the last
frame's clean estimate, a little of this frame's. The gain never falls below a floor,
since removing more leaves musical tones that recognisers take for speech.

References
----------
Y. Ephraim and D. Malah, "Speech enhancement using a minimum mean-square error
short-time spectral amplitude estimator", IEEE Trans. ASSP 32 (1984), section V
(decision-directed estimate); P. Scalart and J. V. Filho, "Speech enhancement based on
a priori signal to noise estimation", ICASSP 1996 (with the Wiener gain).
"""

import numpy as np

from speech.sound import Floats, Samples, to_samples

_SIZE = 512  # 32 ms at 16 kHz
_HOP = _SIZE // 2
_WINDOW = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(_SIZE) / _SIZE))
_MEMORY = 0.98  # weight of the last frame, the value of both papers
_LEAST_POWER = 1.0 * _SIZE  # about one count of noise: digital silence divides by zero
_LEAST_FRAMES = 4


def reduce_noise(samples: Samples, noise: Samples, floor: float) -> Samples:
    """Give the phrase with the noise lowered; the length stays.

    Parameters
    ----------
    samples : Samples
        The phrase.
    noise : Samples
        Sound of the place without the phrase, best about a second; with less than
        about 0.1 s the phrase is given back as it is.
    floor : float
        Least gain, 0 to 1; 0.1 to 0.2 is useful.
    """
    if not 0 <= floor <= 1:
        raise ValueError(f"the gain floor must be 0 to 1, not {floor}")
    if len(noise) < (_LEAST_FRAMES + 1) * _HOP or not len(samples):
        return samples
    before = np.abs(_spectra(noise)) ** 2
    spectra = _spectra(np.pad(samples, (_HOP, _SIZE + _HOP)))
    power = np.maximum(before[1:-1].mean(axis=0), _LEAST_POWER)
    gains = _gains(np.abs(spectra) ** 2 / power, floor)
    return to_samples(_overlap(spectra * gains)[_HOP : _HOP + len(samples)])


def _spectra(samples: Samples) -> np.ndarray[tuple[int, int], np.dtype[np.complex128]]:
    frames = np.lib.stride_tricks.sliding_window_view(samples, _SIZE)[::_HOP]
    return np.fft.rfft(frames * _WINDOW, axis=1)


def _gains(posterior: Floats, floor: float) -> Floats:
    """Walk through the frames: each one's gain needs the last one's."""
    gains = np.empty_like(posterior)
    last = np.zeros(posterior.shape[1])
    for at, ratio in enumerate(posterior):
        prior = _MEMORY * last + (1 - _MEMORY) * np.maximum(ratio - 1, 0)
        gain = np.maximum(prior / (1 + prior), floor)
        last = gain * gain * ratio
        gains[at] = gain
    return gains


def _overlap(spectra: np.ndarray[tuple[int, int], np.dtype[np.complex128]]) -> Floats:
    frames = np.fft.irfft(spectra, _SIZE, axis=1) * _WINDOW
    halves = frames.reshape(len(frames), 2, _HOP)
    joined = np.zeros((len(frames) + 1, _HOP))
    joined[:-1] += halves[:, 0]
    joined[1:] += halves[:, 1]
    return joined.reshape(-1)

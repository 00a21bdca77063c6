import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speech.segmenter import Segmenter, SegmenterSettings
from speech.sound import RATE


def pink(rng, count):
    spectrum = np.fft.rfft(rng.standard_normal(count))
    hz = np.fft.rfftfreq(count, 1 / RATE)
    shaped = np.fft.irfft(spectrum / np.sqrt(np.maximum(hz, 30)), count)
    return shaped / shaped.std()


def fan(rng, count):
    """Pink noise with mains hum and the beat of a fan's blades."""
    at = np.arange(count) / RATE
    hum = sum(np.sin(2 * np.pi * 60 * order * at) / order for order in (1, 2, 4))
    blades = sum(np.sin(2 * np.pi * 88 * order * at) / order for order in range(1, 9))
    return pink(rng, count) + 0.5 * hum + 0.5 * (1 + 0.15 * np.sin(9 * at)) * blades


def voice(seconds=0.8, pitch=120.0):
    """Two vowels: harmonics through two sets of formants, with a rise and a fall."""
    at = np.arange(round(seconds * RATE)) / RATE
    sound = np.zeros(len(at))
    for half, formants in enumerate(((700, 1200, 2500), (350, 1900, 2700))):
        part = np.zeros(len(at))
        for order in range(1, int(3800 / pitch)):
            hz = pitch * order
            level = sum(1 / (1 + ((hz - f) / 120) ** 2) for f in formants)
            part += level * np.sin(2 * np.pi * hz * at + order)
        now = (at < seconds / 2) if half == 0 else (at >= seconds / 2)
        sound += part * now
    return sound * np.sin(np.pi * np.arange(len(at)) / len(at)) ** 0.5


def scene(snr_db, begins, length=6.0, seed=3, speech=None):
    rng = np.random.default_rng(seed)
    speech = voice() if speech is None else speech
    noise = fan(rng, round(length * RATE))
    noise *= 600 / noise.std()
    level = 600 * 10 ** (snr_db / 20) / speech.std()
    for begin in begins:
        start = round(begin * RATE)
        noise[start : start + len(speech)] += level * speech
    return np.clip(noise, -32768, 32767).astype(np.int16)


def cut(samples, chunk=800, segmenter=None):
    segmenter = segmenter or Segmenter()
    found = []
    for start in range(0, len(samples), chunk):
        found += segmenter.feed(samples[start : start + chunk])
    return found


@pytest.mark.parametrize("snr_db", [30, 10, 5])
@pytest.mark.parametrize("seed", [3, 4, 5])
def test_two_utterances_in_fan_noise(snr_db, seed):
    found = cut(scene(snr_db, (1.5, 3.6), seed=seed))
    assert len(found) == 2
    for segment, begin in zip(found, (1.5, 3.6), strict=True):
        assert begin - 0.5 < segment.begin < begin + 0.06
        assert begin + 0.74 < segment.end < begin + 1.2
        assert len(segment.samples) == round((segment.end - segment.begin) * RATE)


def test_the_samples_are_those_of_the_stream_and_noise_comes_before():
    samples = scene(15, (2.0,))
    (segment,) = cut(samples)
    begin, end = round(segment.begin * RATE), round(segment.end * RATE)
    assert np.array_equal(segment.samples, samples[begin:end])
    assert np.array_equal(segment.noise_before, samples[begin - RATE : begin])


@pytest.mark.parametrize("level", [0, 1, 100, 3000])
def test_steady_noise_alone_is_no_utterance(level):
    noise = level * fan(np.random.default_rng(9), 20 * RATE)
    assert cut(noise.astype(np.int16)) == []


def test_a_click_is_no_utterance():
    samples = scene(0, ())
    samples[50_000:50_400] = 20_000
    assert cut(samples) == []


def test_a_fan_that_starts_is_given_up_and_learned():
    rng = np.random.default_rng(2)
    samples = 60 * fan(rng, 20 * RATE)
    samples[4 * RATE :] *= 15
    samples[14 * RATE : 14 * RATE + len(voice())] += 5000 * voice() / voice().std()
    first, second = cut(np.clip(samples, -32768, 32767).astype(np.int16))
    assert 7 < first.end - first.begin < 9
    assert 13.5 < second.begin < 14.05


def test_while_skipping_nothing_is_heard_but_time_passes():
    segmenter = Segmenter()
    samples = scene(15, (2.0, 4.0))
    cut(samples[: 2 * RATE], segmenter=segmenter)
    segmenter.skip(RATE)
    assert segmenter.seconds == 3.0
    assert not segmenter.in_speech
    (segment,) = cut(samples[3 * RATE :], segmenter=segmenter)
    assert 3.5 < segment.begin < 4.06


def test_flush_ends_what_goes_on():
    segmenter = Segmenter()
    assert segmenter.flush() == []
    assert cut(scene(15, (2.0,))[: round(2.7 * RATE)], segmenter=segmenter) == []
    assert segmenter.in_speech
    (segment,) = segmenter.flush()
    assert segment.end > 2.6
    assert not segmenter.in_speech


def test_a_file_that_begins_with_speech_is_learned_first():
    samples = scene(15, (0.0,), length=2.5)
    segmenter = Segmenter()
    segmenter.learn(samples)
    (segment,) = cut(samples, segmenter=segmenter)
    assert segment.begin < 0.06
    assert len(segment.noise_before) == round(0.4 * RATE)


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 5000))
def test_the_size_of_the_chunks_does_not_matter(chunk):
    samples = scene(10, (1.5,), length=3.5)
    whole, pieces = cut(samples, chunk=len(samples)), cut(samples, chunk=max(chunk, 37))
    assert [(each.begin, each.end) for each in whole] == [
        (each.begin, each.end) for each in pieces
    ]


def test_a_near_voice_is_cut_out_of_a_far_one():
    far = np.concatenate([voice(pitch=180.0)] * 4) / 8
    both = far.copy()
    begin = round(1.1 * RATE)
    both[begin : begin + len(voice())] += voice()
    samples = scene(20, (1.0,), speech=both)
    near = SegmenterSettings(within_db=9.0)
    (whole,) = cut(samples)
    (found,) = cut(samples, segmenter=Segmenter(near))
    assert whole.end - whole.begin > 2.9
    assert found.begin == pytest.approx(2.1 - near.before, abs=0.15)
    assert found.end == pytest.approx(2.9 + near.after, abs=0.15)
    assert len(found.samples) == round((found.end - found.begin) * RATE)

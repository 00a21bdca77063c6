"""The sound of a rehearsal: what the microphone gets, and what a bystander would hear.

One time line of samples. The technician's voice on fan noise goes, a tenth of a second
at a time, into the same listener that a microphone feeds; while the companion talks the
ear is closed, as it is in life. A second mix, with the companion's voice and its tones,
goes into a WAV file to be played; quiet waits are cut from that file, because nobody
wants to listen to a settling unit.
"""

import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.shell.rehearsal.noise import RATE, a_weighted_power, fan_noise
from speech import Heard, Lost, Pattern, SpeechError, Vocabulary
from speech.engine_process import EngineProcess
from speech.rendering import Manner
from speech.stream_listener import StreamListener
from speech.tones import tone_sound
from speech.voice import Voice

TECHNICIANS = (
    Manner(voice="en-us-nyc", rate=145, pitch=45),
    Manner(voice="en-us", rate=145, pitch=32),
    Manner(voice="en", rate=150, pitch=40),
    Manner(voice="en-us", rate=140, pitch=62),
)
"""Voices of simulated technicians, unlike the companion's own. The bundled engine
hears some synthetic voices far worse than these; no rehearsal says how it hears you."""

LATENCY_S = 0.3
"""From the end of an utterance being noticed to the words being there [s]: what a
Raspberry Pi is expected to need; our own estimate."""
_LOOP_S = 30.0
_VOICE_RMS = 2500.0  # A-weighted, of 32767
_TRACK_NOISE = 0.5  # the bystander stands further from the fan
_KEEP_QUIET_S = 1.5
_TICK = round(0.1 * RATE)


class SoundStage:
    """The companion's mouth and ear in a rehearsal with sound.

    Parameters
    ----------
    engine
        The real recogniser in its own process; closed with the stage.
    voice
        Renders both voices; closed with the stage.
    technician
        Which of :data:`TECHNICIANS` speaks.
    noise_db
        Speech over noise at the microphone [dB, A-weighted].
    track
        The WAV file to write.
    """

    def __init__(
        self,
        *,
        engine: EngineProcess,
        voice: Voice,
        technician: int,
        noise_db: float,
        seed: int,
        track: Path,
    ) -> None:
        self._engine = engine
        self._listener = StreamListener(engine)
        self._voice = voice
        self._manner = TECHNICIANS[technician % len(TECHNICIANS)]
        self._noise = fan_noise(_LOOP_S, seed) * (_VOICE_RMS / 10 ** (noise_db / 20))
        self._listener.learn(_whole(self._noise[:RATE]))
        self._at = 0  # samples of the time line so far
        self._spoken: list[tuple[int, NDArray[np.float32]]] = []
        self._said: list[tuple[int, NDArray[np.float32]]] = []
        self._quiet = 0
        self._file = wave.open(str(track), "wb")  # noqa: SIM115 - closed in close()
        self._file.setnchannels(1)
        self._file.setsampwidth(2)
        self._file.setframerate(RATE)
        self.track_s = 0.0

    # --- the technician's side

    def expect(self, vocabulary: Vocabulary) -> None:
        """Listen for this from now on."""
        self._listener.expect(vocabulary)

    def begin(self, at: float, words: str) -> float:
        """Have the technician say words; give the moment they end."""
        sound = self._voice.render(words, self._manner).at(RATE).samples
        loud = sound.astype(np.float32)
        loud *= np.float32(_VOICE_RMS / max(1.0, a_weighted_power(loud) ** 0.5))
        start = max([round(at * RATE), *(s + len(v) for s, v in self._spoken)])
        self._spoken.append((start, loud))
        return (start + len(loud)) / RATE

    def tick(self, at: float, *, talking: bool) -> list[tuple[float, Heard]]:
        """Let the microphone run to ``at``; give what was heard."""
        found: list[tuple[float, Heard]] = []
        self._listener.mute(talking)
        while self._at + _TICK <= round(at * RATE):
            noise = self._noise_now()
            speech = _take(self._spoken, self._at, _TICK)
            self._listener.feed(_whole(noise + speech))
            self._write(noise, speech, _take(self._said, self._at, _TICK))
            self._at += _TICK
        if self._engine.pending:
            for result in self._engine.settle():
                if isinstance(result, Lost):
                    raise SpeechError(f"the {result.device} died: {result.reason}")
                found.append((at + LATENCY_S, result))
        return found

    # --- the companion's side

    def say(self, at: float, speech: str) -> float:
        """Have the companion say a sentence; give the moment it ends."""
        sound = self._voice.render(speech).at(RATE).samples.astype(np.float32)
        start = round(at * RATE)
        self._said.append((start, sound * np.float32(0.6)))
        return (start + len(sound)) / RATE

    def cut(self, at: float) -> None:
        """Stop what the companion is saying."""
        stop = round(at * RATE)
        self._said = [
            (start, sound[: max(0, stop - start)])
            for start, sound in self._said
            if start < stop
        ]

    def tone(self, at: float, pattern: Pattern) -> float:
        """Sound a pattern; give the moment it ends."""
        sound = tone_sound(pattern).at(RATE).samples.astype(np.float32)
        start = round(at * RATE)
        self._said.append((start, sound * np.float32(0.3)))
        return (start + len(sound)) / RATE

    def close(self) -> None:
        """Finish the file and let the devices go."""
        self._file.close()
        self._listener.close()
        self._voice.close()

    # --- samples

    def _noise_now(self) -> NDArray[np.float32]:
        start = self._at % len(self._noise)
        piece = self._noise[start : start + _TICK]
        if len(piece) == _TICK:
            return piece
        return np.concatenate((piece, self._noise[: _TICK - len(piece)]))

    def _write(
        self,
        noise: NDArray[np.float32],
        speech: NDArray[np.float32],
        said: NDArray[np.float32],
    ) -> None:
        sounding = bool(speech.any() or said.any())
        self._quiet = 0 if sounding else self._quiet + _TICK
        if self._quiet > _KEEP_QUIET_S * RATE:
            return
        mixed = _whole(noise * np.float32(_TRACK_NOISE) + speech + said)
        self._file.writeframes(mixed.astype("<i2").tobytes())
        self.track_s += _TICK / RATE


def _take(
    pieces: list[tuple[int, NDArray[np.float32]]], start: int, count: int
) -> NDArray[np.float32]:
    """Mix what sounds in a window, and forget what is over."""
    mixed = np.zeros(count, dtype=np.float32)
    for begin, sound in pieces:
        first, last = max(begin, start), min(begin + len(sound), start + count)
        if first < last:
            mixed[first - start : last - start] += sound[first - begin : last - begin]
    pieces[:] = [p for p in pieces if p[0] + len(p[1]) > start + count]
    return mixed


def _whole(sound: NDArray[np.float32]) -> NDArray[np.int16]:
    return np.clip(np.rint(sound), -32768, 32767).astype(np.int16)

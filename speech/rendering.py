"""Text into sound, inside a child process: pyttsx3 with the library its wheel brings.

The library of ``espeakng_loader`` is loaded first, so that pyttsx3's look-up by soname
finds it and no system package is needed; the voices are then the same everywhere.
pyttsx3 may return before its file is there or whole, and now and then leaves an empty
one, so every file is waited for, checked and asked for again.
"""

import ctypes
import os
import tempfile
import threading
import wave
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from speech.ports import DeviceError, SpeechFileError
from speech.sound import Sound, read_wav_as_it_is

_TRIES = 3
_SECONDS = 4.0  # for one file
_LEAST_SECONDS = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How to speak.

    ``voice`` is a voice file of eSpeak NG, such as ``en-us``, ``gmw/en-GB-x-rp`` or,
    with a variant, ``en-us+f3``; ``rate`` is in words a minute; ``pitch`` 0 to 100.
    ``carrying`` evens the loudness out, see :mod:`speech.loudness`.
    """

    voice: str = "en-us"
    rate: int = 165
    pitch: int = 50
    carrying: bool = False

    def __post_init__(self) -> None:
        if not 80 <= self.rate <= 450:
            raise ValueError(f"{self.rate} words a minute is outside 80 to 450")
        if not 0 <= self.pitch <= 100:
            raise ValueError(f"a pitch of {self.pitch} is outside 0 to 100")


def make_renderer() -> Callable[[tuple[str, Manner]], Sound]:
    """Start the synthesiser; gives the function that renders one sentence."""
    _load_library()
    renderer = _Renderer()
    return renderer.render


def _load_library() -> None:
    try:
        import espeakng_loader

        os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
        library = espeakng_loader.get_library_path()
    except ImportError:
        library = "libespeak-ng.so.1"
    try:
        ctypes.CDLL(library, mode=ctypes.RTLD_GLOBAL)
    except OSError as problem:
        raise DeviceError(
            f"no speech library ({problem}): pip install espeakng-loader, "
            "or sudo apt install libespeak-ng1"
        ) from problem


def whole_wav(path: Path) -> Sound:
    """Read a file that another thread may still be writing, once it is complete.

    Its header tells from the start how much will come. A sentence cut short sounds
    like one, so that what it lost would be missed by nobody but the technician.

    Raises
    ------
    SpeechFileError
        If the file is not there, holds nothing, or less than it promises.
    """
    sound = read_wav_as_it_is(path)
    try:
        with wave.open(str(path)) as file:
            promised = file.getnframes()
    except (OSError, EOFError, wave.Error) as problem:
        raise SpeechFileError(f"{path}: {problem}") from problem
    if len(sound.samples) < promised:
        raise SpeechFileError(f"{path}: {len(sound.samples)} of {promised} samples")
    return sound


class _Renderer:
    def __init__(self) -> None:
        import pyttsx3

        self._engine: Any = pyttsx3.init("espeak")
        self._done = threading.Event()
        self._engine.connect("finished-utterance", self._finished)
        self._engine.runAndWait()  # else the first file may be missing on return
        ids = [str(voice.id) for voice in self._engine.getProperty("voices")]
        self._voices = {name for known in ids for name in (known, Path(known).name)}

    def _finished(self, **_: object) -> None:
        self._done.set()

    def render(self, question: tuple[str, Manner]) -> Sound:
        text, manner = question
        if manner.voice.partition("+")[0].lower() not in self._voices:
            raise DeviceError(f"there is no voice {manner.voice!r}")
        self._engine.setProperty("voice", manner.voice)
        self._engine.setProperty("rate", manner.rate)
        self._engine.setProperty("pitch", manner.pitch)
        with tempfile.TemporaryDirectory(prefix="speech-") as folder:
            for attempt in range(_TRIES):
                sound = self._to_file(text, Path(folder) / f"{attempt}.wav")
                if sound is not None:
                    return sound
        raise DeviceError(f"no sound was made for {text!r}")

    def _to_file(self, text: str, path: Path) -> Sound | None:
        self._done.clear()
        self._engine.save_to_file(text, str(path))
        self._engine.runAndWait()
        for _ in range(3):  # the signal of an earlier file may come first
            try:
                sound = whole_wav(path)
            except SpeechFileError:
                self._done.wait(_SECONDS / 3)
                self._done.clear()
                continue
            return sound if sound.seconds >= _LEAST_SECONDS else None
        return None

"""Sound in: a pipe from ``arecord``, or PortAudio; chunks go to a callback."""

import shutil
import subprocess
import threading
from collections.abc import Callable
from typing import Any, Protocol

import numpy as np

from speech.players import find_device, load_sounddevice
from speech.ports import DeviceError, Lost
from speech.sound import RATE, Samples
from speech.sound_cards import choose_device

CHUNK = RATE // 20
"""Samples handed on at a time: a twentieth of a second."""

_CURE = "install a recorder: sudo apt install alsa-utils (or libportaudio2)"

Deliver = Callable[[Samples], None]
Report = Callable[[Lost], None]


class Microphone(Protocol):
    """Gives 16 kHz mono chunks to a callback, from a thread of its own."""

    def close(self) -> None:
        """Stop and let go of the device; may be called twice."""


def open_microphone(name: str, deliver: Deliver, lost: Report) -> Microphone:
    """Start listening: ``arecord`` if there is one, else PortAudio.

    Parameters
    ----------
    name : str
        A part of the sound card's name (see :mod:`speech.sound_cards`), or a device
        such as ``plughw:CARD=Headset``. Empty is the default device.
    deliver : callable
        Called with each chunk, from a thread; must be quick.
    lost : callable
        Called once with a :class:`Lost` when the device goes away.

    Raises
    ------
    DeviceError
        If there is neither; the message names the packages.
    """
    if shutil.which("arecord"):
        chosen, _ = choose_device(name, "input")
        device = ("-D", chosen) if chosen else ()
        form = ("-f", "S16_LE", "-c", "1", "-r", str(RATE), "-t", "raw")
        return PipeMicrophone(("arecord", "-q", *device, *form), deliver, lost)
    return PortAudioMicrophone(name, deliver, lost)


class PipeMicrophone:
    """Reads raw 16 kHz mono samples from a program's output.

    Raises
    ------
    DeviceError
        If the program cannot be started.
    """

    def __init__(
        self, command: tuple[str, ...], deliver: Deliver, lost: Report
    ) -> None:
        self._deliver = deliver
        self._lost = lost
        self._name = command[0]
        self._closed = False
        try:
            self._process = subprocess.Popen(  # noqa: S603 - our own command
                command, stdout=subprocess.PIPE, stderr=subprocess.PIPE
            )
        except OSError as problem:
            raise DeviceError(f"{command[0]}: {problem.strerror}") from problem
        self._thread = threading.Thread(
            target=self._read, name="microphone", daemon=True
        )
        self._thread.start()

    def _read(self) -> None:
        sound, errors = self._process.stdout, self._process.stderr
        if sound is None or errors is None:
            raise TypeError("the recorder has no pipes")
        with sound, errors:
            while True:
                data = sound.read(2 * CHUNK)
                whole = len(data) // 2
                if whole and not self._closed:
                    self._deliver(np.frombuffer(data, dtype="<i2", count=whole))
                if len(data) < 2 * CHUNK:
                    break
            said = errors.read().decode(errors="replace").strip().splitlines()
        code = self._process.wait()
        if not self._closed:
            why = said[-1] if said else f"it ended (exit code {code})"
            reason = f"{self._name}: {why}; check the headset's plug"
            self._lost(Lost(device="microphone", reason=reason))

    def close(self) -> None:
        """End the program and the thread."""
        self._closed = True
        self._process.kill()
        if threading.current_thread() is not self._thread:
            self._thread.join()


class PortAudioMicrophone:
    """Listens through PortAudio by way of sounddevice.

    Raises
    ------
    DeviceError
        If the library or the device is missing; the message names the cure.
    """

    def __init__(self, name: str, deliver: Deliver, lost: Report) -> None:
        self._deliver = deliver
        self._lost = lost
        self._closed = False
        library = load_sounddevice(_CURE)
        device = find_device(library, name, "input")
        try:
            self._stream = library.RawInputStream(
                samplerate=RATE,
                blocksize=CHUNK,
                channels=1,
                dtype="int16",
                device=device,
                callback=self._take,
                finished_callback=self._finished,
            )
            self._stream.start()
        except library.PortAudioError as problem:
            raise DeviceError(
                f"the microphone cannot be opened: {problem}"
            ) from problem

    def _take(self, data: Any, *_: object) -> None:
        self._deliver(np.frombuffer(bytes(data), dtype=np.int16))

    def _finished(self) -> None:
        if not self._closed:
            reason = "the sound stream ended; check the headset's plug"
            self._lost(Lost(device="microphone", reason=reason))

    def close(self) -> None:
        """Stop the stream."""
        if not self._closed:
            self._closed = True
            self._stream.close()


Open = Callable[[Deliver, Report], Microphone]
SILENT_S = 3.0
"""A microphone that gives no sound at all for so long counts as gone [s]."""
RETRY_S = 3.0
"""A microphone that went away is tried again this often [s]."""


class LastingMicrophone:
    """Opens a microphone again after it went away, or another that has come.

    ``lost`` is called once when sound stops coming, ``found`` when it comes again.
    """

    def __init__(
        self,
        open_one: Open,
        deliver: Deliver,
        lost: Report,
        found: Callable[[], None],
        retry_s: float = RETRY_S,
    ) -> None:
        self._open = open_one
        self._deliver = deliver
        self._lost = lost
        self._found = found
        self._retry_s = retry_s
        self._down = False
        self._chunks = 0
        self._closed = threading.Event()
        self._gone = threading.Event()
        self._now: Microphone | None = open_one(self._take, self._report)
        self._thread = threading.Thread(
            target=self._run, name="microphone-again", daemon=True
        )
        self._thread.start()

    def _take(self, samples: Samples) -> None:
        self._chunks += 1
        if self._down:
            self._down = False
            self._found()
        self._deliver(samples)

    def _report(self, lost: Lost) -> None:
        self._gone.set()
        if not self._down:
            self._down = True
            self._lost(lost)

    def _run(self) -> None:
        while not self._closed.is_set():
            before = self._chunks
            if not self._gone.wait(SILENT_S):
                if self._chunks == before:
                    reason = "the microphone gives no sound; check the headset's plug"
                    self._report(Lost(device="microphone", reason=reason))
                continue
            if self._closed.wait(self._retry_s):
                return
            self._gone.clear()
            if self._now is not None:
                self._now.close()
            try:
                self._now = self._open(self._take, self._report)
            except DeviceError as problem:
                self._now = None
                self._report(Lost(device="microphone", reason=str(problem)))

    def close(self) -> None:
        """Stop, and let the device go."""
        self._closed.set()
        self._gone.set()
        self._thread.join()
        if self._now is not None:
            self._now.close()

"""Sound out through a device: a pipe to ``aplay``, or PortAudio."""

import shutil
import subprocess
import threading
from collections.abc import Callable
from importlib import import_module
from typing import Any, Protocol

import numpy as np

from speech.ports import DeviceError
from speech.sound import RATE, Sound
from speech.sound_cards import choose_device

_CURE = "install a player: sudo apt install alsa-utils (or libportaudio2)"


STUCK_S = 5.0
"""Our own value."""


class Player(Protocol):
    """Plays one sound at a time and can be cut off from another thread.

    A cut holds until :meth:`arm`, so that one that comes between the decision to play
    and the first sample is not lost.
    """

    def arm(self) -> None:
        """Let the next :meth:`play` sound."""

    def play(self, sound: Sound) -> None:
        """Play to the end, or until cut off; raises DeviceError if it cannot."""

    def cut(self) -> None:
        """End what is playing at once, and all playing until armed again."""

    def close(self) -> None:
        """Fall silent and let go of the device."""


def open_player(name: str = "") -> Player:
    """Give a player for a device by name: ``aplay`` if there is one, else PortAudio.

    Parameters
    ----------
    name : str
        A part of the sound card's name (see :mod:`speech.sound_cards`), or a device
        such as ``plughw:CARD=Headset``. Empty is the default device.

    Raises
    ------
    DeviceError
        If there is neither; the message names the packages.
    """
    if shutil.which("aplay"):
        chosen, _ = choose_device(name, "output")
        device = ("-D", chosen) if chosen else ()
        return PipePlayer(("aplay", "-q", *device))
    return PortAudioPlayer(name)


class PipePlayer:
    """Starts the program anew for each sound and kills it to cut the sound off.

    ``command`` must take raw 16-bit mono samples on its standard input and understand
    the format options of ``aplay``. One that is ``stuck_s`` later than its sound hangs
    and is ended [s].
    """

    def __init__(self, command: tuple[str, ...], stuck_s: float = STUCK_S) -> None:
        self._command = command
        self._stuck_s = stuck_s
        self._process: subprocess.Popen[bytes] | None = None
        self._cut = False
        self._lock = threading.Lock()

    def arm(self) -> None:
        """Let the next sound play."""
        with self._lock:
            self._cut = False

    def play(self, sound: Sound) -> None:
        """Play to the end, or until cut off.

        Raises
        ------
        DeviceError
            If the program cannot be started or fails.
        """
        form = ("-f", "S16_LE", "-c", "1", "-r", str(sound.rate), "-t", "raw")
        with self._lock:
            if self._cut:
                return
            try:
                process = subprocess.Popen(  # noqa: S603 - our own command
                    (*self._command, *form, "-"),
                    stdin=subprocess.PIPE,
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.PIPE,
                )
            except OSError as problem:
                raise DeviceError(
                    f"{self._command[0]}: {problem.strerror}"
                ) from problem
            self._process = process
        try:
            _, complaint = process.communicate(
                sound.samples.astype("<i2").tobytes(), sound.seconds + self._stuck_s
            )
        except subprocess.TimeoutExpired:
            process.kill()
            _, complaint = process.communicate()
            complaint = b"it hangs"
        with self._lock:
            self._process = None
            if process.returncode and not self._cut:
                said = complaint.decode(errors="replace").strip().splitlines()
                raise DeviceError(
                    f"{self._command[0]} cannot play: "
                    f"{said[-1] if said else f'exit code {process.returncode}'}"
                )

    def cut(self) -> None:
        """Kill the program that plays, if any."""
        with self._lock:
            self._cut = True
            if self._process is not None:
                self._process.kill()

    def close(self) -> None:
        """Fall silent."""
        self.cut()


class PortAudioPlayer:
    """Plays through PortAudio by way of sounddevice.

    Raises
    ------
    DeviceError
        If the library or the device is missing; the message names the cure.
    """

    def __init__(self, name: str) -> None:
        self._library = load_sounddevice(_CURE)
        self._device = find_device(self._library, name, "output")
        self._stop = threading.Event()

    def arm(self) -> None:
        """Let the next sound play."""
        self._stop.clear()

    def play(self, sound: Sound) -> None:
        """Play to the end, or until cut off, in steps of a twentieth of a second.

        Raises
        ------
        DeviceError
            If the device fails.
        """
        step = sound.rate // 20
        try:
            with self._library.RawOutputStream(
                samplerate=sound.rate, channels=1, dtype="int16", device=self._device
            ) as stream:
                for start in range(0, len(sound.samples), step):
                    if self._stop.is_set():
                        stream.abort()
                        return
                    stream.write(sound.samples[start : start + step].tobytes())
        except self._library.PortAudioError as problem:
            raise DeviceError(f"cannot play: {problem}") from problem

    def cut(self) -> None:
        """End what is playing."""
        self._stop.set()

    def close(self) -> None:
        """Fall silent."""
        self.cut()


class LastingPlayer:
    """Opens the player anew for each sound, so a card that was replugged is found.

    After a failure it tries a short silence again and again, and calls ``found`` when
    that plays; the failure itself is raised, as by any player.
    """

    def __init__(
        self,
        open_one: Callable[[], Player],
        found: Callable[[], None],
        retry_s: float = 3.0,
    ) -> None:
        self._open = open_one
        self._found = found
        self._retry_s = retry_s
        self._player = open_one()
        self._cut = False
        self._lock = threading.Lock()
        self._closed = threading.Event()
        self._trying: threading.Thread | None = None

    def arm(self) -> None:
        """Let the next sound play."""
        with self._lock:
            self._cut = False

    def play(self, sound: Sound) -> None:
        """Play to the end, or until cut off.

        Raises
        ------
        DeviceError
            If it cannot; it goes on trying.
        """
        try:
            player = self._open()
            with self._lock:
                if self._cut:
                    return
                self._player = player
                player.arm()
            player.play(sound)
        except DeviceError:
            self._try_again()
            raise

    def _try_again(self) -> None:
        with self._lock:
            if self._trying is None and not self._closed.is_set():
                self._trying = threading.Thread(
                    target=self._try, name="speaker-again", daemon=True
                )
                self._trying.start()

    def _try(self) -> None:
        silence = Sound(samples=np.zeros(RATE // 20, np.int16))
        while not self._closed.wait(self._retry_s):
            try:
                player = self._open()
                player.arm()
                player.play(silence)
            except DeviceError:
                continue
            with self._lock:
                self._trying = None
            self._found()
            return

    def cut(self) -> None:
        """End what is playing."""
        with self._lock:
            self._cut = True
            self._player.cut()

    def close(self) -> None:
        """Fall silent, and stop trying."""
        self._closed.set()
        self.cut()
        if self._trying is not None:
            self._trying.join(timeout=2)


def load_sounddevice(cure: str) -> Any:
    """Import sounddevice; ``cure`` ends the message when that fails.

    Raises
    ------
    DeviceError
        If the package or the PortAudio library is missing.
    """
    try:
        return import_module("sounddevice")
    except (ImportError, OSError) as problem:
        raise DeviceError(f"no way to the sound card: {cure}") from problem


def find_device(library: Any, name: str, direction: str) -> int | None:
    """Find a PortAudio device by a part of its name; None is the default device.

    Raises
    ------
    DeviceError
        If none fits; the message lists those there are.
    """
    channels = f"max_{direction}_channels"
    there = [
        (index, str(device["name"]))
        for index, device in enumerate(library.query_devices())
        if device[channels] > 0
    ]
    if not name and there:
        return None
    for index, known in there:
        if name and name.lower() in known.lower():
            return index
    listed = ", ".join(known for _, known in there) or "none at all"
    raise DeviceError(f"no sound {direction} named {name!r}; there is: {listed}")

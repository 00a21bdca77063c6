"""A voice: text in, samples out; rendered in a child process and remembered."""

import hashlib
import os
import threading
from collections import OrderedDict
from collections.abc import Iterable
from pathlib import Path

from speech.child import Answer, Broken, Child, Died
from speech.loudness import carrying
from speech.ports import DeviceError, SpeechFileError
from speech.rendering import Manner, make_renderer, whole_wav
from speech.sound import Sound, write_wav

_SECONDS = 15.0  # for one sentence; fresh ones take hundredths of a second
_TRIES = 2
_REMEMBERED = 300  # sentences; some 100 kB each


class Voice:
    """Renders sentences; the same sentence twice costs nothing the second time.

    ``manner`` is the voice used unless :meth:`render` is told otherwise. ``folder``,
    if given, keeps what :meth:`prepare` rendered for the next start.
    """

    def __init__(
        self, manner: Manner | None = None, folder: Path | str | None = None
    ) -> None:
        self.manner = manner or Manner()
        self._folder = None if folder is None else Path(folder)
        self._child = Child(make_renderer, (), "speech synthesiser")
        self._memory: OrderedDict[tuple[str, Manner], Sound] = OrderedDict()
        self._lock = threading.Lock()
        self._prepared: dict[tuple[str, Manner], Sound] = {}
        self._closed = False

    def render(self, text: str, manner: Manner | None = None) -> Sound:
        """Give the sound of a sentence, at the synthesiser's own rate.

        Raises
        ------
        DeviceError
            If no sound can be made; the message says why.
        ValueError
            If there is nothing to say.
        """
        if not text.strip():
            raise ValueError("there is nothing to say")
        key = (text, manner or self.manner)
        ready = self._prepared.get(key)
        if ready is not None:
            return ready
        with self._lock:
            sound = self._memory.get(key) or self._from_folder(key) or self._make(key)
            self._memory[key] = sound
            self._memory.move_to_end(key)
            if len(self._memory) > _REMEMBERED:
                self._memory.popitem(last=False)
        return sound

    def at_hand(self, text: str, manner: Manner | None = None) -> Sound | None:
        """Give the sound of a sentence that was made before; never waits for another."""
        key = (text, manner or self.manner)
        return self._prepared.get(key) or self._memory.get(key)

    def prepare(self, texts: Iterable[str]) -> None:
        """Render fixed cues ahead, and keep them in the folder, if there is one.

        They stay at hand for as long as the voice is open, however much else is said.

        Raises
        ------
        SpeechError
            If no sound can be made or a file cannot be written.
        """
        for text in texts:
            if self._closed:
                return
            sound = self.render(text)
            self._prepared[text, self.manner] = sound
            path = self._path((text, self.manner))
            if path is not None and not path.exists():
                path.parent.mkdir(parents=True, exist_ok=True)
                partial = path.with_suffix(f".{os.getpid()}.part")
                write_wav(partial, sound)
                partial.replace(path)

    def start(self) -> None:
        """Start the child now, so that the first sentence need not wait for it."""
        with self._lock:
            if not self._child.running:
                self._child.start()

    @property
    def process_id(self) -> int | None:
        """The number of the synthesiser's process; None when there is none."""
        return self._child.process_id

    def close(self) -> None:
        """End the child; may be called twice. Nothing more is made ahead."""
        self._closed = True
        with self._lock:
            self._child.close()

    def _path(self, key: tuple[str, Manner]) -> Path | None:
        if self._folder is None:
            return None
        text, manner = key
        plain = f"{manner.voice}\n{manner.rate}\n{manner.pitch}\n{text}"
        plain += "\ncarrying" if manner.carrying else ""
        return self._folder / f"{hashlib.sha256(plain.encode()).hexdigest()}.wav"

    def _from_folder(self, key: tuple[str, Manner]) -> Sound | None:
        path = self._path(key)
        if path is None or not path.exists():
            return None
        try:
            return whole_wav(path)
        except SpeechFileError:
            path.unlink(missing_ok=True)  # a damaged file is made anew
            return None

    def _make(self, key: tuple[str, Manner]) -> Sound:
        reason = ""
        for _ in range(_TRIES):
            match self._child.ask(key, _SECONDS):
                case Answer(value=sound):
                    made = _sound(sound)
                    return carrying(made) if key[1].carrying else made
                case Broken(reason=reason):
                    break
                case Died(reason=reason):
                    continue
        raise DeviceError(f"cannot say {key[0]!r}: {reason}")


def _sound(value: object) -> Sound:
    if not isinstance(value, Sound):
        raise TypeError(f"the synthesiser gave {type(value).__name__}, not a sound")
    return value

"""The live speaker: sentences and tones one after the other, urgent ones at once.

A thread renders and plays. Nothing it meets is raised into the caller: a synthesiser
or a sound device that fails is handed to ``lost``, and the next sentence is tried anew.
"""

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from speech.players import Player
from speech.ports import DeviceError, Lost, Pattern
from speech.sound import Sound
from speech.tones import tone_sound
from speech.voice import Voice


def _ignore(_: object) -> None:
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class _Item:
    what: str
    sound: Callable[[], Sound]
    urgent: bool


class Pyttsx3Speaker:
    """Speaks through a player with a voice; owns and closes both.

    Parameters
    ----------
    voice : Voice
        Renders the sentences.
    player : Player
        Plays them; see :func:`speech.players.open_player`.
    changed : callable
        Called with true when sound starts and false when it ends, from a thread: mute
        the listener with it.
    lost : callable
        Called with a :class:`Lost`, from a thread, when something could not be said.
    """

    def __init__(
        self,
        voice: Voice,
        player: Player,
        changed: Callable[[bool], None] = _ignore,
        lost: Callable[[Lost], None] = _ignore,
    ) -> None:
        self._voice = voice
        self._player = player
        self._changed = changed
        self._lost = lost
        self._waiting: deque[_Item] = deque()
        self._change = threading.Condition()
        self._current: _Item | None = None
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="speaker", daemon=True)
        self._thread.start()

    @property
    def talking(self) -> bool:
        """True while sound comes out or waits to."""
        with self._change:
            return self._sounding()

    def say(self, text: str, *, urgent: bool = False) -> None:
        """Speak after what is being said; urgent speech cuts ordinary speech off.

        The ordinary speech that was cut off or still waited is dropped. Urgent
        sentences and tones never cut each other off.
        """
        self._add(
            _Item(what=text, sound=lambda: self._voice.render(text), urgent=urgent)
        )

    def tone(self, pattern: Pattern) -> None:
        """Sound a pattern; ``danger`` cuts ordinary speech off as urgent speech does."""
        self._add(
            _Item(
                what=f"the {pattern} tone",
                sound=lambda: tone_sound(pattern),
                urgent=pattern == "danger",
            )
        )

    def hush(self) -> None:
        """End and drop ordinary speech, because the technician wants to talk."""
        with self._change:
            self._waiting = deque(each for each in self._waiting if each.urgent)
            if self._current is not None and not self._current.urgent:
                self._player.cut()

    def settle(self, seconds: float = 60.0) -> bool:
        """Wait for silence, at most ``seconds``; true when there is silence."""
        with self._change:
            return self._change.wait_for(lambda: not self._sounding(), seconds)

    def close(self) -> None:
        """Fall silent and end the thread, the player and the voice."""
        with self._change:
            self._closed = True
            self._waiting.clear()
            self._player.cut()
            self._change.notify_all()
        self._thread.join()
        self._player.close()
        self._voice.close()

    def _sounding(self) -> bool:
        return self._current is not None or bool(self._waiting)

    def _add(self, item: _Item) -> None:
        with self._change:
            if self._closed:
                return
            if item.urgent:
                self._waiting = deque(each for each in self._waiting if each.urgent)
                if self._current is not None and not self._current.urgent:
                    self._player.cut()
            self._waiting.append(item)
            self._change.notify_all()

    def _run(self) -> None:
        muted = False
        while (item := self._next()) is not None:
            if not muted:
                muted = True
                self._changed(True)
            self._sound(item)
            with self._change:
                self._current = None
                quiet = not self._waiting
                self._change.notify_all()
            if quiet:
                muted = False
                self._changed(False)

    def _next(self) -> _Item | None:
        """Wait for something to say; None when closed."""
        with self._change:
            self._change.wait_for(lambda: bool(self._waiting) or self._closed)
            if self._closed:
                return None
            self._current = self._waiting.popleft()
            self._player.arm()
            return self._current

    def _sound(self, item: _Item) -> None:
        try:
            self._player.play(item.sound())
        except (DeviceError, ValueError) as problem:
            reason = f"{item.what!r} could not be said: {problem}"
            self._lost(Lost(device="speaker", reason=reason))

"""The live speaker: sentences and tones one after the other, urgent ones at once.

One thread renders and one plays, so that an urgent sentence that is at hand never waits
for another that is still being made. Nothing they meet is raised into the caller. A
sentence that cannot be made is tried again, then a tone stands for it and ``lost`` is
told; the sentence itself is for the caller to show or to say anew, because by the time
the voice is back it may be wrong. While the voice or the device is lost a tone is tried
now and then, and ``found`` is told when sound comes out again.
"""

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from speech.players import Player
from speech.ports import DeviceError, Found, Lost, Pattern
from speech.sound import Sound
from speech.tones import tone_sound

TRIES = 2
"""So often a sentence is asked for before a tone stands for it."""
URGENT_WAIT_S = 0.5
"""An urgent sentence that is not made by then is announced by the danger tone [s]."""
PROBE_S = 5.0
"""While nothing can be said, a tone is tried this often [s]."""


class Rendering(Protocol):
    """What the speaker needs of a voice; see :class:`speech.voice.Voice`."""

    def render(self, text: str) -> Sound:
        """Give the sound of a sentence; raises DeviceError if it cannot be made."""

    def at_hand(self, text: str) -> Sound | None:
        """Give the sound of a sentence that was made before, without waiting."""

    def close(self) -> None:
        """End the synthesiser."""


def _ignore(_: object) -> None:
    pass


@dataclass(slots=True, kw_only=True, eq=False)
class _Item:
    what: str
    text: str = ""
    urgent: bool = False
    sound: Sound | None = None
    broken: str = ""
    announced: bool = False
    trial: bool = False

    @property
    def stand_in(self) -> Pattern:
        return "danger" if self.urgent else "caution"


class Pyttsx3Speaker:
    """Speaks through a player with a voice; owns and closes both.

    Parameters
    ----------
    voice : Rendering
        Renders the sentences.
    player : Player
        Plays them; see :func:`speech.players.open_player`.
    changed : callable
        Called with true when sound starts and false when it ends, from a thread: mute
        the listener with it.
    lost, found : callable
        Called with a :class:`Lost` when something could not be said, and with a
        :class:`Found` when sound comes out again, from a thread.
    probe_s : float
        How often a device that was lost is tried [s].
    """

    def __init__(
        self,
        voice: Rendering,
        player: Player,
        changed: Callable[[bool], None] = _ignore,
        lost: Callable[[Lost], None] = _ignore,
        found: Callable[[Found], None] = _ignore,
        probe_s: float = PROBE_S,
    ) -> None:
        self._voice = voice
        self._player = player
        self._changed = changed
        self._lost = lost
        self._found = found
        self._probe_s = probe_s
        self._waiting: deque[_Item] = deque()
        self._change = threading.Condition()
        self._current: _Item | None = None
        self._closed = False
        self._silent = False  # true from a loss until sound comes out again
        self._unsaid = ""  # the sentence whose making failed, to try the voice with
        self._threads = [
            threading.Thread(target=work, name=f"speaker {name}", daemon=True)
            for name, work in (("renders", self._render), ("plays", self._play))
        ]
        for thread in self._threads:
            thread.start()

    @property
    def talking(self) -> bool:
        """True while sound comes out or waits to."""
        with self._change:
            return self._sounding()

    def say(self, text: str, *, urgent: bool = False, instead: bool = False) -> None:
        """Speak after what is being said; urgent speech cuts ordinary speech off.

        The ordinary speech that was cut off or still waited is dropped. Urgent
        sentences and tones never cut each other off. With ``instead`` an ordinary
        sentence takes the place of ordinary ones, so that an echo keeps up with presses.
        """
        item = _Item(what=repr(text), text=text, urgent=urgent)
        item.sound = self._voice.at_hand(text)
        self._add(item, clears=urgent or instead)

    def tone(self, pattern: Pattern, *, urgent: bool = False) -> None:
        """Sound a pattern; ``danger`` cuts ordinary speech off as urgent speech does."""
        self._add(
            _Item(
                what=f"the {pattern} tone",
                sound=tone_sound(pattern),
                urgent=urgent or pattern == "danger",
            ),
            clears=urgent or pattern == "danger",
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
        """Fall silent and end the threads, the player and the voice."""
        with self._change:
            self._closed = True
            self._waiting.clear()
            self._player.cut()
            self._change.notify_all()
        self._voice.close()
        for thread in self._threads:
            thread.join()
        self._player.close()

    def _sounding(self) -> bool:
        return self._current is not None or bool(self._waiting)

    def _add(self, item: _Item, *, clears: bool) -> None:
        with self._change:
            if self._closed:
                return
            if clears:
                self._waiting = deque(each for each in self._waiting if each.urgent)
                if self._current is not None and not self._current.urgent:
                    self._player.cut()
            self._waiting.append(item)
            self._change.notify_all()

    # --- rendering

    def _unmade(self) -> _Item | None:
        undone = (each for each in self._waiting if not each.sound and not each.broken)
        return next(undone, None)

    def _render(self) -> None:
        while True:
            with self._change:
                self._change.wait_for(
                    lambda: self._closed or self._unmade() is not None
                )
                item = self._unmade()
                if self._closed or item is None:
                    return
            sound, broken = self._made(item.text)
            with self._change:
                item.sound, item.broken = sound, broken
                self._change.notify_all()

    def _made(self, text: str) -> tuple[Sound | None, str]:
        reason = ""
        for _ in range(TRIES):
            try:
                return self._voice.render(text), ""
            except (DeviceError, ValueError) as problem:
                reason = str(problem)
                if self._closed:
                    break
        return None, reason

    # --- playing

    def _play(self) -> None:
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

    def _ready(self) -> bool:
        return bool(self._waiting) and bool(
            self._waiting[0].sound or self._waiting[0].broken
        )

    def _next(self) -> _Item | None:
        """Wait for something to play; None when closed."""
        with self._change:
            while not self._closed and not self._ready():
                if self._change.wait(self._patience()):
                    continue
                if self._waiting:
                    return self._taken(self._announced(self._waiting[0]))
                self._waiting.append(self._trial())
                self._change.notify_all()
            if self._closed:
                return None
            return self._taken(self._waiting.popleft())

    def _taken(self, item: _Item) -> _Item:
        self._current = item
        self._player.arm()
        return item

    def _patience(self) -> float | None:
        """Give how long to wait for the first sentence, or for the next probe [s]."""
        if self._waiting:
            first = self._waiting[0]
            return URGENT_WAIT_S if first.urgent and not first.announced else None
        return self._probe_s if self._silent else None

    @staticmethod
    def _announced(late: _Item) -> _Item:
        """Give the tone that goes before an urgent sentence that is not made yet."""
        late.announced = True
        return _Item(what="the danger tone", sound=tone_sound("danger"), urgent=True)

    def _trial(self) -> _Item:
        """Give what tells whether sound comes out again: a tone, after the voice."""
        sound = None if self._unsaid else tone_sound("information")
        return _Item(what="a trial", text=self._unsaid, sound=sound, trial=True)

    def _sound(self, item: _Item) -> None:
        reason = item.broken
        if not (item.trial and reason):
            try:
                self._player.play(_to_play(item))
            except DeviceError as problem:
                reason = str(problem)
        if reason:
            self._silent = True
            self._unsaid = item.text if item.broken else ""
            if not item.trial:
                told = f"{item.what} could not be said: {reason}"
                self._lost(Lost(device="speaker", reason=told))
        elif self._silent and (item.text or item.trial):
            self._silent, self._unsaid = False, ""
            self._found(Found(device="speaker"))


def _to_play(item: _Item) -> Sound:
    if item.trial:
        return tone_sound("information")
    return item.sound or tone_sound(item.stand_in)

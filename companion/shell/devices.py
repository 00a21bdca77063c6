"""Open the real devices: ear, voice, panel; each one missing is named in one line.

A missing device is no reason to stop: the job goes on with what there is, down to a
keyboard and a screen.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from companion.shell.enrolment import FLOORS, read_profile
from companion.shell.live import Arrival, Ready
from companion.shell.settings import Settings
from hardware import Board, HardwareError, Panel, open_board
from speech import Listener, Speaker, SpeechError, TypedListener
from speech.engines import choose_engine, open_engine
from speech.keywords import KeywordListener
from speech.microphone import Microphone, open_microphone
from speech.players import open_player
from speech.pyttsx3_speaker import Pyttsx3Speaker
from speech.rendering import Manner
from speech.sound import Samples
from speech.stream_listener import StreamListener
from speech.voice import Voice

FAREWELL_S = 30.0
"""The last sentences are waited for at most this long [s]."""


@dataclass(slots=True)
class Devices:
    """What could be opened, and a line about each that could not."""

    listeners: tuple[Listener, ...] = ()
    speaker: Speaker | None = None
    panel: Panel | None = None
    notes: list[str] = field(default_factory=list)
    _board: Board | None = None
    _microphone: Microphone | None = None

    def finish_talking(self) -> None:
        """Let the speaker end what it says."""
        if isinstance(self.speaker, Pyttsx3Speaker):
            self.speaker.settle(FAREWELL_S)

    def close(self) -> None:
        """Let every device go."""
        if self._microphone is not None:
            self._microphone.close()
        for listener in self.listeners:
            listener.close()
        if self.speaker is not None:
            self.speaker.close()
        if self._board is not None:
            self._board.close()


def open_recogniser(
    settings: Settings, ready: Callable[[], None] = lambda: None
) -> StreamListener:
    """Open the listener of the settings, without a microphone.

    Raises
    ------
    SpeechError
        If its engine or model is missing or broken.
    """
    floor = FLOORS[0]
    if settings.voice_profile:
        floor = read_profile(Path(settings.voice_profile)).floor
    engine = open_engine(settings.engine, settings.model_folder, ready, floor)
    return StreamListener(engine)


def open_voice(settings: Settings) -> Voice:
    """Open the companion's voice."""
    return Voice(Manner(rate=settings.rate), _cue_folder())


def _cue_folder() -> Path:
    return Path.home() / ".cache" / "field-companion" / "cues"


def describe_recogniser(settings: Settings) -> str:
    """Say which recogniser the settings lead to.

    Raises
    ------
    SpeechError
        If it, or its model, is missing or broken.
    """
    choice = choose_engine(settings.engine, settings.model_folder)
    if choice.engine == "vosk":
        return f"vosk with the model in {choice.model_folder}"
    return "pocketsphinx with its bundled English model; no Vosk model is set"


def open_devices(
    settings: Settings, put: Callable[[Arrival], None], *, typed: bool
) -> Devices:
    """Open everything that is there.

    Parameters
    ----------
    put
        Takes what devices report, from any thread.
    typed
        Keyboard and screen only.
    """
    devices = Devices()
    if typed:
        devices.listeners = (_keyboard(put),)
        return devices
    _open_panel(devices, settings, put)
    _open_speaker(devices, settings, put)
    _open_ear(devices, settings, put)
    if not devices.listeners:
        devices.notes.append("Answers are typed, one a line.")
        devices.listeners = (_keyboard(put),)
    return devices


def _keyboard(put: Callable[[Arrival], None]) -> TypedListener:
    return TypedListener(sys.stdin, lambda: put(Ready()))


def _open_panel(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None]
) -> None:
    try:
        board = open_board(settings.board)
        if board.kind == "simulated":
            board.close()
            devices.notes.append(f"No buttons and lamps: {board.note}.")
            return
        devices.panel = board.panel(put)
        devices._board = board  # noqa: SLF001 - our own record
    except HardwareError as trouble:
        devices.notes.append(f"No buttons and lamps: {trouble}")


def _open_speaker(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None]
) -> None:
    try:
        player = open_player(settings.speaker)
    except SpeechError as trouble:
        devices.notes.append(f"No loudspeaker: {trouble}")
        return
    devices.speaker = Pyttsx3Speaker(
        open_voice(settings), player, changed=lambda _: put(Ready()), lost=put
    )


def _open_ear(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None]
) -> None:
    try:
        listener = open_recogniser(settings, lambda: put(Ready()))
    except SpeechError as trouble:
        devices.notes.append(f"No recogniser: {trouble}")
        return
    stop_words = _open_stop_words(devices, settings, put)

    def feed(samples: Samples) -> None:
        listener.feed(samples)
        if stop_words is not None:
            stop_words.feed(samples)

    try:
        devices._microphone = open_microphone(  # noqa: SLF001 - our own record
            settings.microphone, feed, put
        )
    except SpeechError as trouble:
        listener.close()
        if stop_words is not None:
            stop_words.close()
        devices.notes.append(f"No microphone: {trouble}")
        return
    devices.listeners = (listener,)
    if stop_words is not None:
        devices.listeners += (stop_words,)


def _open_stop_words(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None]
) -> KeywordListener | None:
    try:
        engine = open_engine(
            settings.engine, settings.model_folder, lambda: put(Ready())
        )
    except SpeechError as trouble:
        devices.notes.append(f"Stop and close are not heard while I talk: {trouble}")
        return None
    return KeywordListener(engine, settings.stop_word)

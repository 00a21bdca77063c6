"""Open the real devices: ear, voice, panel; each one missing is named in one line.

A missing device is no reason to stop: the job goes on with what there is, down to a
keyboard and a screen.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from companion.shell.arrivals import Arrival, Found, Ready
from companion.shell.clock import Clock
from companion.shell.fixed_cues import prepare_ahead
from companion.shell.sampling import Sampler
from companion.shell.settings import Settings
from hardware import (
    Board,
    HardwareError,
    Panel,
    SensorSet,
    open_board,
    open_sensors,
    read_plan_file,
)
from hardware.van import VanSupply
from speech import Listener, Speaker, SpeechError, TypedListener
from speech.engines import choose_engine, open_engine
from speech.microphone import LastingMicrophone, Microphone, open_microphone
from speech.players import LastingPlayer, open_player
from speech.pyttsx3_speaker import Pyttsx3Speaker
from speech.rendering import Manner
from speech.sound_cards import Direction, choose_device
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
    sensors: SensorSet | None = None
    voice: Voice | None = None
    notes: list[str] = field(default_factory=list)
    _board: Board | None = None
    _microphone: Microphone | None = None
    _sampler: Sampler | None = None

    @property
    def sensed(self) -> tuple[str, ...]:
        """Names of the readings that sensors give."""
        return () if self.sensors is None else self.sensors.names

    def prepare(self, sentences: tuple[str, ...]) -> None:
        """Let the voice make fixed sentences ahead, in the background."""
        if self.voice is not None:
            prepare_ahead(self.voice, sentences)

    def hush(self) -> None:
        """Drop ordinary speech, because the technician wants to talk."""
        if isinstance(self.speaker, Pyttsx3Speaker):
            self.speaker.hush()

    def finish_talking(self, seconds: float = FAREWELL_S) -> bool:
        """Let the speaker talk for at most ``seconds``; true when it is silent."""
        if isinstance(self.speaker, Pyttsx3Speaker):
            return self.speaker.settle(seconds)
        return True

    def close(self) -> None:
        """Let every device go."""
        if self._sampler is not None:
            self._sampler.close()
        if self._microphone is not None:
            self._microphone.close()
        for listener in self.listeners:
            listener.close()
        if self.speaker is not None:
            self.speaker.close()
        if self._board is not None:
            self._board.close()


def open_recogniser(
    settings: Settings,
    ready: Callable[[], None] = lambda: None,
    revived: Callable[[], None] = lambda: None,
) -> StreamListener:
    """Open the listener of the settings, without a microphone.

    ``ready`` is called when it has something, ``revived`` when its process had died
    and listens again.

    Raises
    ------
    SpeechError
        If its engine or model is missing or broken.
    """
    engine = open_engine(
        settings.engine, settings.model_folder, ready, settings.language
    )
    engine.revived = revived
    return StreamListener(engine)


def open_voice(settings: Settings) -> Voice:
    """Open the companion's voice."""
    return Voice(manner_of(settings), _cue_folder())


def manner_of(settings: Settings) -> Manner:
    """Give how the settings want the companion to speak."""
    return Manner(
        voice=settings.voice_name,
        rate=settings.rate,
        pitch=settings.pitch,
        carrying=True,
    )


def _cue_folder() -> Path:
    return Path.home() / ".cache" / "field-companion" / "cues"


def describe_recogniser(settings: Settings) -> str:
    """Say which recogniser the settings lead to.

    Raises
    ------
    SpeechError
        If it, or its model, is missing or broken.
    """
    choice = choose_engine(settings.engine, settings.model_folder, settings.language)
    if choice.engine == "vosk":
        return f"vosk with the model in {choice.model_folder}"
    return "pocketsphinx with its bundled English model; no Vosk model is set"


def open_devices(
    settings: Settings, put: Callable[[Arrival], None], clock: Clock, *, typed: bool
) -> Devices:
    """Open everything that is there.

    Parameters
    ----------
    put
        Takes what devices report, from any thread.
    clock
        What sensors are timed by.
    typed
        Keyboard and screen only.
    """
    devices = Devices()
    if typed:
        devices.listeners = (_keyboard(put),)
        return devices
    _open_board(devices, settings, put, clock)
    _open_speaker(devices, settings, put)
    _open_ear(devices, settings, put)
    if not devices.listeners:
        devices.notes.append("Answers are typed, one a line.")
        devices.listeners = (_keyboard(put),)
    return devices


def _keyboard(put: Callable[[Arrival], None]) -> TypedListener:
    return TypedListener(sys.stdin, lambda: put(Ready()))


def _open_board(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None], clock: Clock
) -> None:
    try:
        board = open_board(settings.board)
        if board.kind == "simulated":
            board.close()
            devices.notes.append(f"No buttons, lamps and sensors: {board.note}.")
            return
        devices._board = board  # noqa: SLF001 - our own record
        devices.panel = board.panel(put)
        stuck = ", ".join(devices.panel.stuck)
        if stuck:
            devices.notes.append(f"Held down or stuck: {stuck}; let go, or look at it.")
    except HardwareError as trouble:
        devices.notes.append(f"No buttons and lamps: {trouble}")
        return
    devices.sensors = _sensors(devices, board, settings, clock)
    van = _van(devices, board, settings)
    if devices.sensors is not None or van is not None:
        devices._sampler = Sampler(  # noqa: SLF001 - our own record
            clock, put, sensors=devices.sensors, van=van
        )


def _sensors(
    devices: Devices, board: Board, settings: Settings, clock: Clock
) -> SensorSet | None:
    if not settings.sensors:
        return None
    try:
        plan = read_plan_file(Path(settings.sensors).expanduser())
    except HardwareError as trouble:
        devices.notes.append(f"No sensors: {trouble}")
        return None
    old = plan.overdue(clock.utc().date())
    if old:
        devices.notes.append(f"Calibrate soon, by the file's dates: {', '.join(old)}.")
    found = open_sensors(board, plan, clock.now)
    devices.notes += [f"Sensors: {note}" for note in found.notes]
    return found


def _van(devices: Devices, board: Board, settings: Settings) -> VanSupply | None:
    if not settings.van:
        return None
    try:
        return board.van()
    except HardwareError as trouble:
        devices.notes.append(f"No ignition sense: {trouble}")
        return None


def _open_speaker(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None]
) -> None:
    try:
        player = LastingPlayer(
            lambda: open_player(settings.speaker), lambda: put(Found(device="speaker"))
        )
    except SpeechError as trouble:
        devices.notes.append(f"No loudspeaker: {trouble}")
        return
    _note_card(devices, settings.speaker, "output")
    voice = devices.voice = open_voice(settings)
    devices.speaker = Pyttsx3Speaker(
        voice,
        player,
        changed=lambda _: put(Ready()),
        lost=put,
        found=lambda _: put(Found(device="speaker")),
    )


def _open_ear(
    devices: Devices, settings: Settings, put: Callable[[Arrival], None]
) -> None:
    try:
        listener = open_recogniser(
            settings,
            lambda: put(Ready()),
            lambda: put(Found(device="recogniser")),
        )
    except SpeechError as trouble:
        devices.notes.append(f"No recogniser: {trouble}")
        return
    try:
        devices._microphone = LastingMicrophone(  # noqa: SLF001 - our own record
            lambda deliver, lost: open_microphone(settings.microphone, deliver, lost),
            listener.feed,
            put,
            lambda: put(Found(device="microphone")),
        )
    except SpeechError as trouble:
        listener.close()
        devices.notes.append(f"No microphone: {trouble}")
        return
    devices.listeners = (listener,)
    _note_card(devices, settings.microphone, "input")


def _note_card(devices: Devices, name: str, direction: Direction) -> None:
    """Tell where another sound card is used than the one that was named."""
    _, note = choose_device(name, direction)
    if note:
        devices.notes.append(f"Sound {direction}: {note}.")

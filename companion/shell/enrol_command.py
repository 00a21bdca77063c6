"""``companion enrol``: read twenty lines aloud, or hand in recordings of them."""

import queue
from collections.abc import Callable
from pathlib import Path

import numpy as np

from companion.shell.enrolment import (
    FLOORS,
    PROMPTS,
    advice,
    best_profile,
    write_profile,
)
from companion.shell.errors import CompanionError
from companion.shell.settings import Settings
from speech import Heard, Lost, Vocabulary
from speech.engines import open_engine
from speech.microphone import open_microphone
from speech.sound import RATE, Samples, read_wav
from speech.stream_listener import StreamListener, hear_samples

QUIET_S = 1.0
"""Before each line the noise of the place is taken for so long [s]."""
LINE_S = 4.0
"""For each line there is so long [s]."""

SILENT_S = 5.0
"""A microphone that gives nothing for so long is taken for broken [s]."""

Hear = Callable[[Samples, Vocabulary], list[Heard]]
Show = Callable[[str], None]


def enrol_command(
    settings: Settings, *, technician: str, folder: Path | None, out: Path, show: Show
) -> int:
    """Take the prompts, judge them, write the profile and say what was found.

    Without ``folder`` the microphone is used; else the files ``01.wav`` to ``20.wav``
    in it, in the order of the prompts.

    Raises
    ------
    CompanionError, SpeechError
        If a recording, the microphone or the recogniser is missing.
    """
    recordings = _from_folder(folder) if folder else _from_microphone(settings, show)
    listeners = {
        floor: StreamListener(
            open_engine(settings.engine, settings.model_folder, floor=floor)
        )
        for floor in FLOORS
    }
    try:
        heard: dict[float, Hear] = {
            floor: _hearing(listener) for floor, listener in listeners.items()
        }
        profile = best_profile(technician or settings.technician, recordings, heard)
    finally:
        for listener in listeners.values():
            listener.close()
    write_profile(out, profile)
    for line in advice(profile):
        show(line)
    show(f'Written: {out}. Set voice_profile = "{out}" in the settings.')
    return 0 if profile.verdict != "not good enough" else 1


def _hearing(listener: StreamListener) -> Hear:
    def hear(samples: Samples, vocabulary: Vocabulary) -> list[Heard]:
        return hear_samples(samples, vocabulary, listener, "a prompt")

    return hear


def _from_folder(folder: Path) -> tuple[Samples, ...]:
    paths = [folder / f"{number:02}.wav" for number in range(1, len(PROMPTS) + 1)]
    missing = [path.name for path in paths if not path.is_file()]
    if missing:
        lines = "; ".join(
            f"{p.name}: {w}" for p, (w, _) in zip(paths, PROMPTS, strict=True)
        )
        raise CompanionError(
            f"{folder}: {', '.join(missing)} missing; record one file a line: {lines}"
        )
    return tuple(read_wav(path).samples for path in paths)


def _from_microphone(settings: Settings, show: Show) -> tuple[Samples, ...]:
    chunks: queue.Queue[Samples | Lost] = queue.Queue()
    microphone = open_microphone(settings.microphone, chunks.put, chunks.put)
    found: list[Samples] = []
    try:
        for number, (words, _) in enumerate(PROMPTS, start=1):
            show(f"{number} of {len(PROMPTS)}. Wait a second, then say: {words}")
            found.append(_record(chunks))
    finally:
        microphone.close()
    return tuple(found)


def _record(chunks: "queue.Queue[Samples | Lost]") -> Samples:
    """Take the next few seconds; what came before is old."""
    while not chunks.empty():
        chunks.get_nowait()
    parts: list[Samples] = []
    wanted = round((QUIET_S + LINE_S) * RATE)
    while sum(map(len, parts)) < wanted:
        try:
            chunk = chunks.get(timeout=SILENT_S)
        except queue.Empty:
            raise CompanionError(
                "The microphone gives no sound; check its plug and the settings"
            ) from None
        if isinstance(chunk, Lost):
            raise CompanionError(f"The microphone is lost: {chunk.reason}")
        parts.append(chunk)
    return np.concatenate(parts)

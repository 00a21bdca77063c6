"""Choose and start a recogniser."""

import importlib.util
import os
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from speech.decoding import EngineChoice, EngineName
from speech.engine_process import EngineProcess
from speech.language import LanguageId
from speech.ports import DeviceError
from speech.vosk_model import check_model_folder

ENGLISH_ONLY = (
    "the bundled recogniser, pocketsphinx, knows English only; for Spanish by voice "
    "unpack a Spanish Vosk model and set model_folder to it; until then use the keyboard "
    "or the buttons"
)
Kind = Literal["auto", "vosk", "pocketsphinx"]


def open_engine(
    kind: Kind = "auto",
    model_folder: Path | str = "",
    ready: Callable[[], None] = lambda: None,
    language: LanguageId = "en",
) -> EngineProcess:
    """Start the engine that fits, in a process of its own; returns at once.

    ``auto`` is vosk where a model is given or found, else pocketsphinx, which brings
    its own. Without ``model_folder`` the folder that the environment variable
    ``VOSK_MODEL_PATH`` names is taken, if any.

    Raises
    ------
    SpeechError
        If the engine asked for, or its model, is missing; the message names the cure.
    """
    return EngineProcess(choose_engine(kind, model_folder, language), ready)


def choose_engine(
    kind: Kind = "auto", model_folder: Path | str = "", language: LanguageId = "en"
) -> EngineChoice:
    """Decide which engine to start and check that it can be; see :func:`open_engine`."""
    folder = str(model_folder) or os.environ.get("VOSK_MODEL_PATH", "")
    if kind == "pocketsphinx" or (kind == "auto" and not folder):
        if language != "en":
            raise DeviceError(ENGLISH_ONLY)
        _check_installed("pocketsphinx")
        return EngineChoice(engine="pocketsphinx")
    if not folder:
        raise DeviceError(
            "vosk needs a model: unpack one and give its folder as the model folder"
        )
    _check_installed("vosk")
    check_model_folder(Path(folder))
    return EngineChoice(engine="vosk", model_folder=folder, language=language)


def _check_installed(library: EngineName) -> None:
    if importlib.util.find_spec(library) is None:
        raise DeviceError(f"{library} is not installed: pip install {library}")

"""Check a vosk model's folder before anything loads it.

The library itself ends the process on some broken models, so what must be there is
looked for first.
"""

from pathlib import Path

from speech.ports import SpeechFileError

_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
_GRAPH = ("graph/HCLr.fst", "graph/Gr.fst")


def check_model_folder(folder: Path) -> None:
    """See that a folder holds a vosk model that can take a word list.

    Raises
    ------
    SpeechFileError
        Naming the folder, the files that are missing and what to do.
    """
    if not folder.is_dir():
        raise SpeechFileError(
            f"{folder}: no such folder; unpack a vosk model there or correct the setting"
        )
    missing = [name for name in _NEEDED if not (folder / name).is_file()]
    if missing:
        raise SpeechFileError(
            f"{folder}: not a vosk model, {', '.join(missing)} missing; give the folder "
            "that holds am and conf"
        )
    if not all((folder / name).is_file() for name in _GRAPH):
        raise SpeechFileError(
            f"{folder}: this model cannot take a word list (no {' and '.join(_GRAPH)}); "
            "choose a small model with a dynamic graph"
        )

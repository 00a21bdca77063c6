"""Look at everything the companion needs, and say what to do about each fault.

Nothing here stops at the first fault: a technician wants the whole list at once.
"""

import datetime
import importlib.util
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from checklists import ChecklistError, expired, load_all, load_translated
from companion.shell.clock import SystemClock, vouched_for
from companion.shell.errors import CompanionError
from companion.shell.knowledge_files import read_knowledge
from companion.shell.model_files import damaged
from companion.shell.prose import read_prose
from companion.shell.rehearsal.scenario import read_scenario, scenario_names
from companion.shell.settings import Settings
from companion.shell.wording import left_behind, read_wording
from hardware import Fault, HardwareError, open_board, open_sensors, read_plan_file
from speech import LANGUAGES, LanguageId, SpeechError, shipped_phrases

OTHERS: tuple[LanguageId, ...] = ("es",)
"""The languages that are translated from English."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing that was looked at."""

    name: str
    ok: bool
    message: str


def check_data(today: datetime.date) -> list[Item]:
    """Check tables, checklists, phrases, wording and scenarios."""
    return [
        _item("tables", _tables),
        _item("checklists", lambda: _checklists(today)),
        _item("phrases", _phrases),
        _item("wording", _wording),
        _item("rehearsals", _rehearsals),
    ]


def check_all(settings: Settings, today: datetime.date) -> list[Item]:
    """Check the data, and the machine: recogniser, voice, sound, pins, folder."""
    return [
        *check_data(today),
        _item("recogniser", lambda: _recogniser(settings)),
        _item("voice", lambda: _voice(settings)),
        _item("microphone", lambda: _tool("arecord", "microphone")),
        _item("loudspeaker", lambda: _tool("aplay", "loudspeaker")),
        _item("model", lambda: _model(settings)),
        _item("board", lambda: _board(settings)),
        _item("sensors", lambda: _sensors(settings, today)),
        _item("clock", _clock),
        _item("folder", lambda: _folder(settings)),
    ]


def _item(name: str, look: Callable[[], str]) -> Item:
    try:
        return Item(name=name, ok=True, message=look())
    except (CompanionError, ChecklistError, SpeechError, HardwareError) as trouble:
        return Item(name=name, ok=False, message=str(trouble))


def _tables() -> str:
    found = read_knowledge()
    return f"{len(found.catalogue.refrigerants)} refrigerants, every table is in order"


def _checklists(today: datetime.date) -> str:
    lists = load_all()
    late = [each for each in lists if expired(each, today)]
    if late:
        names = ", ".join(f"{each.id} (review by {each.review_by})" for each in late)
        raise CompanionError(
            f"past their review date: {names}; have each reviewed by whoever answers "
            "for safety, and set a new review_by in its file in checklists/data"
        )
    steps = sum(len(each.steps) for each in lists)
    return f"{len(lists)} lists with {steps} steps, none past its review date"


def _phrases() -> str:
    counts = [len(shipped_phrases(language).controls) for language in LANGUAGES]
    return f"{counts[0]} control words in {' and '.join(LANGUAGES)}"


def _wording() -> str:
    count = len(read_wording("us").tables.cues)
    for language in LANGUAGES:
        read_wording("us", language=language)
        read_prose(language)
        load_translated(language)
    late = [name for language in OTHERS for name in left_behind(language)]
    if late:
        raise CompanionError(
            "the English of these has changed since they were translated: "
            f"{', '.join(late)}; look at each in wording_es.toml and change both lines"
        )
    return f"{count} sentences in {' and '.join(LANGUAGES)}"


def _rehearsals() -> str:
    for name in scenario_names():
        read_scenario(name)
    return f"scenarios {', '.join(scenario_names())}"


def _recogniser(settings: Settings) -> str:
    from companion.shell.devices import describe_recogniser

    return describe_recogniser(settings)


def _voice(settings: Settings) -> str:
    for module in ("pyttsx3", "espeakng_loader"):
        if importlib.util.find_spec(module) is None:
            raise CompanionError(f"the package {module} is missing; install again")
    return f"pyttsx3 with the bundled voices, speaking as {settings.voice_name}"


def _tool(program: str, what: str) -> str:
    if (
        shutil.which(program) is None
        and importlib.util.find_spec("sounddevice") is None
    ):
        raise CompanionError(
            f"no way to the {what}: run sudo apt install alsa-utils; until then the "
            "keyboard and the screen are used"
        )
    return f"through {program if shutil.which(program) else 'sounddevice'}"


def _board(settings: Settings) -> str:
    with open_board(settings.board) as board:
        return board.note


def _model(settings: Settings) -> str:
    if not settings.model_folder:
        return "none set; the bundled one is used"
    wrong = damaged(Path(settings.model_folder))
    if wrong:
        raise CompanionError(f"{settings.model_folder}: {wrong}; unpack it again")
    return settings.model_folder


def _sensors(settings: Settings, today: datetime.date) -> str:
    """Read every sensor once; a converter without its supply shows here too."""
    if not settings.sensors:
        return "none set; readings are asked for"
    plan = read_plan_file(Path(settings.sensors).expanduser())
    clock = SystemClock()
    with open_board(settings.board) as board:
        sensors = open_sensors(board, plan, clock.now)
        try:
            found = sensors.read(clock.now())
        finally:
            sensors.close()
    # Probes and a scale answer only after a while; their silence at once is no fault.
    faults = [
        each.message
        for each in found
        if isinstance(each, Fault) and each.name != "gone"
    ]
    old = [f"{name} is due for calibration" for name in plan.overdue(today)]
    if faults or old:
        raise CompanionError("; ".join((*sensors.notes, *faults, *old)))
    return ", ".join(plan.dates)


def _clock() -> str:
    by = vouched_for()
    return f"vouched for by a {by}" if by else "nothing vouches for the date"


def _folder(settings: Settings) -> str:
    folder = job_folder(settings)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise CompanionError(
            f"the folder {folder} cannot be made ({trouble.strerror}); set folder in "
            "companion.toml to one that can be written"
        ) from trouble
    free = shutil.disk_usage(folder).free
    if free < 50_000_000:
        raise CompanionError(
            f"only {free // 1_000_000} MB are free at {folder}; free at least 50 MB"
        )
    return f"{folder}, {free // 1_000_000} MB free"


def job_folder(settings: Settings) -> Path:
    """Give the folder jobs are kept in."""
    if settings.folder:
        return Path(settings.folder).expanduser()
    return Path.home() / ".local" / "share" / "field-companion"

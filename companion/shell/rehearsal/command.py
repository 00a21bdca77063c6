"""``companion rehearse``: play a scenario, with sound or typed, and leave its files."""

import json
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from companion.job.state import Job
from companion.shell.clock import SystemClock
from companion.shell.errors import CompanionError
from companion.shell.exports import write_whole
from companion.shell.journal import FILE, Journal
from companion.shell.knowing import read_know
from companion.shell.rehearsal.ear import Ear
from companion.shell.rehearsal.run import Outcome, rehearse
from companion.shell.rehearsal.scenario import Scenario, read_scenario
from companion.shell.rehearsal.world import Mouth
from companion.shell.report import write_record
from companion.shell.settings import Settings
from companion.shell.words import words_of

TRACK = "conversation.wav"
TRANSCRIPT = "transcript.txt"


@dataclass(frozen=True, slots=True, kw_only=True)
class RehearseOptions:
    """How ``companion rehearse`` was called.

    ``until`` ends it early, where only a part of a job is of interest.
    """

    scenario: str
    seed: int
    typed: bool
    buttons: bool
    noise_db: float | None
    out: Path | None
    as_json: bool
    box: bool = False
    until: Callable[[Job], bool] | None = None


def rehearse_command(
    options: RehearseOptions, settings: Settings, show: Callable[[str], None]
) -> int:
    """Play a scenario; give 0 if its job was finished and nothing taken wrongly.

    Raises
    ------
    CompanionError, SpeechError
        If it cannot be played.
    """
    clock = SystemClock()
    began = clock.now()
    scenario = read_scenario(options.scenario)
    out = options.out or Path(f"rehearsal-{options.scenario}-{options.seed}")
    _prepare(out)
    wording = words_of(settings)
    say = _quiet if options.as_json else show
    say(f"Scenario {options.scenario}, seed {options.seed}: {scenario.purpose}")
    with ExitStack() as opened:
        ear, mouth = _sound(options, scenario, settings, out, opened)
        box = None
        if options.box:
            from companion.shell.rehearsal.box import SimulatedBox

            box = SimulatedBox(seed=options.seed)
            opened.callback(box.close)
        outcome = rehearse(
            scenario,
            know=read_know(settings.language),
            wording=wording,
            seed=options.seed,
            folder=out,
            show=say,
            ear=ear,
            mouth=mouth,
            box=box,
            until=options.until,
            buttons=options.buttons,
        )
    files = _files(outcome, settings, out, typed=options.typed or options.buttons)
    result = _result(options, outcome, clock.now() - began, files)
    if options.as_json:
        show(json.dumps(result))
    else:
        _summary(result, show)
    return 0 if outcome.finished and not outcome.readings.accepted_wrong else 1


def _quiet(_: str) -> None:
    pass


def _prepare(out: Path) -> None:
    out.mkdir(parents=True, exist_ok=True)
    for old in out.glob(f"{FILE}*"):
        old.unlink()


def _sound(
    options: RehearseOptions,
    scenario: Scenario,
    settings: Settings,
    out: Path,
    opened: ExitStack,
) -> tuple[Ear | None, Mouth | None]:
    if options.typed or options.buttons:
        return None, None
    from companion.shell.devices import open_voice
    from companion.shell.rehearsal.sound_stage import SoundStage
    from speech.engines import open_engine

    voice = open_voice(settings)
    opened.callback(voice.close)
    engine = open_engine(
        settings.engine, settings.model_folder, language=settings.language
    )
    opened.callback(engine.close)
    level = scenario.noise_db if options.noise_db is None else options.noise_db
    if not -20 <= level <= 60:
        raise CompanionError(f"--noise-db {level} is outside -20 to 60 dB")
    stage = SoundStage(
        engine=engine,
        voice=voice,
        technician=scenario.technician.voice,
        noise_db=level,
        seed=options.seed,
        track=out / TRACK,
    )
    opened.callback(stage.close)
    return stage, stage


def _files(
    outcome: Outcome, settings: Settings, out: Path, *, typed: bool
) -> list[str]:
    head = "Job time, who, what. Quiet waits are cut from the WAV file.\n\n"
    write_whole(out / TRANSCRIPT, head + "\n".join(outcome.lines) + "\n")
    journal = Journal(out / FILE, SystemClock())
    written = write_record(journal.facts(outcome.job.id), words_of(settings), out)
    journal.close()
    files = [out / TRANSCRIPT, *written, out / FILE]
    if not typed:
        files.insert(0, out / TRACK)
    return [str(path) for path in files]


def _result(
    options: RehearseOptions, outcome: Outcome, wall_s: float, files: list[str]
) -> dict[str, Any]:
    readings = asdict(outcome.readings)
    wrong = readings.pop("wrong")
    return {
        "scenario": options.scenario,
        "seed": options.seed,
        "finished": outcome.finished,
        "outcome": outcome.outcome,
        "readings": readings,
        "wrong": wrong,
        "pulses": outcome.pulses,
        "charge_error_pct": round(outcome.charge_error_pct, 2),
        "wall_s": round(wall_s, 2),
        "job_s": round(outcome.job_s, 1),
        "files": files,
    }


def _summary(result: dict[str, Any], show: Callable[[str], None]) -> None:
    readings = result["readings"]
    show("")
    show(
        f"Finished: {'yes' if result['finished'] else 'NO'} ({result['outcome']}), "
        f"{result['pulses']} openings, charge {result['charge_error_pct']:+.1f} % off."
    )
    show(
        f"Spoken values: {readings['accepted_right']} taken right, "
        f"{readings['accepted_wrong']} wrong, {readings['asked_again']} asked again."
    )
    for wrong in result["wrong"]:
        show(f"  wrong: {wrong}")
    ratio = result["job_s"] / max(result["wall_s"], 0.01)
    show(
        f"Job of {result['job_s'] / 60:.0f} minutes played in {result['wall_s']:.1f} s "
        f"({ratio:.0f} times as fast)."
    )
    for name in result["files"]:
        show(f"  {name}")

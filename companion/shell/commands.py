"""The commands that do something: run, rehearse, check, hear, report, tables."""

import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from pathlib import Path
from typing import Any

from companion.shell.errors import CompanionError
from companion.shell.settings import Settings, read_settings

Show = Callable[[str], None]
Command = Callable[[Namespace, Show], int]


def add_commands(commands: Any) -> None:
    """Add the commands that do something."""
    _add_run(commands)
    _add_rehearse(commands)
    one = _add(commands, "check", "look at everything and say what to do", _check)
    one.add_argument("--json", action="store_true")
    one.add_argument("--data", action="store_true", help="only the packaged data")
    one.add_argument("--valve", action="store_true", help="print the valve's table")
    one = _add(commands, "hear", "what the companion hears in a WAV file", _hear)
    one.add_argument("file", type=Path)
    one.add_argument("--expect", required=True, help="an expectation, see run --lines")
    one.add_argument(
        "--refrigerant", help="what is in the unit, for what is believable"
    )
    one.add_argument(
        "--noise", type=float, help="put fan noise so many dB under the voice first"
    )
    one.add_argument("--json", action="store_true")
    one = _add(commands, "enrol", "try a technician's voice in its noise", _enrol)
    one.add_argument(
        "--from", dest="recordings", type=Path, help="folder with 01.wav to 20.wav"
    )
    one.add_argument("--out", type=Path, default=Path("voice.toml"))
    one = _add(commands, "report", "write the record of a job again", _report)
    one.add_argument("--job", type=Path, help="folder of the journal")
    one.add_argument("--id", help="which job; the latest if left out")
    one.add_argument("--out", type=Path, default=Path())
    one = _add(commands, "model", "check and unpack a speech model", _model)
    one.add_argument("file", type=Path, help="ZIP file; its pin lies beside it")
    one.add_argument("--to", type=Path, required=True, help="folder of models")
    one = _add(commands, "tables", "build the saturation tables anew", _tables)
    one.add_argument("--out", type=Path, required=True)


def _add(commands: Any, name: str, text: str, command: Command) -> ArgumentParser:
    parser: ArgumentParser = commands.add_parser(name, help=text, description=text)
    parser.add_argument("--settings", type=Path, help="settings file (companion.toml)")
    parser.add_argument("--technician", default="", help="whose table in it counts")
    parser.add_argument("--language", choices=("en", "es"), help="en or es")
    parser.set_defaults(command=command)
    return parser


def _add_run(commands: Any) -> None:
    one = _add(commands, "run", "run a job with microphone, speaker and buttons", _run)
    one.add_argument("--typed", action="store_true", help="keyboard and screen only")
    one.add_argument("--lines", action="store_true", help="JSON lines in and out")
    one.add_argument(
        "--service", action="store_true", help="in the box: wait for confirm, then run"
    )
    one.add_argument("--describe", action="store_true", help="print the vocabulary")
    one.add_argument("--job", type=Path, help="folder of the journal")
    one.add_argument(
        "--accept-expired", action="store_true", help="use lists past their review date"
    )


def _add_rehearse(commands: Any) -> None:
    one = _add(commands, "rehearse", "play a whole job without any device", _rehearse)
    one.add_argument("--scenario", default="liquid-orifice", help="'list' lists them")
    one.add_argument("--seed", type=int, default=1)
    one.add_argument("--typed", action="store_true", help="without sound, in seconds")
    one.add_argument(
        "--box", action="store_true", help="through simulated pins: buttons, sensors"
    )
    one.add_argument(
        "--buttons", action="store_true", help="not a word, only presses; without sound"
    )
    one.add_argument("--noise-db", type=float, help="speech over fan noise [dB]")
    one.add_argument("--out", type=Path, help="folder for conversation and record")
    one.add_argument("--json", action="store_true", help="result as one JSON object")


def _settings(arguments: Namespace) -> Settings:
    settings = read_settings(arguments.settings, arguments.technician)
    if arguments.language is None:
        return settings
    return settings.model_copy(update={"language": arguments.language})


def _run(arguments: Namespace, show: Show) -> int:
    settings = _settings(arguments)
    if arguments.describe:
        from companion.shell.knowing import read_know
        from companion.shell.lines_described import describe
        from companion.shell.words import words_of

        told = describe(read_know(settings.language), words_of(settings))
        show(json.dumps(told, indent=1))
        return 0
    if arguments.lines:
        from companion.shell.lines_command import run_filter

        return run_filter(settings, arguments.job, sys.stdin, sys.stdout)
    from companion.shell.app import RunOptions, run

    return run(
        settings,
        RunOptions(
            typed=arguments.typed,
            folder=arguments.job,
            accept_expired=arguments.accept_expired,
            service=arguments.service,
        ),
    )


def _rehearse(arguments: Namespace, show: Show) -> int:
    from companion.shell.rehearsal.command import RehearseOptions, rehearse_command
    from companion.shell.rehearsal.scenario import read_scenario, scenario_names

    if arguments.scenario == "list":
        for name in scenario_names():
            show(f"{name:16} {read_scenario(name).purpose}")
        return 0
    return rehearse_command(
        RehearseOptions(
            scenario=arguments.scenario,
            seed=arguments.seed,
            typed=arguments.typed,
            buttons=arguments.buttons,
            noise_db=arguments.noise_db,
            out=arguments.out,
            as_json=arguments.json,
            box=arguments.box,
        ),
        _settings(arguments),
        show,
    )


def _check(arguments: Namespace, show: Show) -> int:
    from companion.job.pulses import printed_table
    from companion.shell.clock import SystemClock
    from companion.shell.selfcheck import check_all, check_data

    if arguments.valve:
        show(printed_table())
        return 0
    today = SystemClock().utc().date()
    if arguments.data:
        items = check_data(today)
    else:
        items = check_all(_settings(arguments), today)
    if arguments.json:
        rows = [
            {"name": each.name, "ok": each.ok, "message": each.message}
            for each in items
        ]
        show(json.dumps({"items": rows}))
    else:
        for each in items:
            show(f"{'ok  ' if each.ok else 'BAD '} {each.name:12} {each.message}")
    return 0 if all(each.ok for each in items) else 1


def _hear(arguments: Namespace, show: Show) -> int:
    from companion.shell.hearing import hear_command

    return hear_command(
        _settings(arguments),
        arguments.file,
        expect=arguments.expect,
        refrigerant=arguments.refrigerant,
        noise_db=arguments.noise,
        as_json=arguments.json,
        show=show,
    )


def _enrol(arguments: Namespace, show: Show) -> int:
    from companion.shell.enrol_command import enrol_command

    return enrol_command(
        _settings(arguments),
        technician=arguments.technician,
        folder=arguments.recordings,
        out=arguments.out,
        show=show,
    )


def _report(arguments: Namespace, show: Show) -> int:
    from contextlib import closing

    from companion.shell.clock import SystemClock
    from companion.shell.journal import FILE, Journal
    from companion.shell.report import write_record
    from companion.shell.selfcheck import job_folder
    from companion.shell.words import words_of

    settings = _settings(arguments)
    folder = arguments.job or job_folder(settings)
    if not (folder / FILE).is_file():
        raise CompanionError(
            f"there is no journal in {folder}; name its folder by --job"
        )
    with closing(Journal(folder / FILE, SystemClock())) as journal:
        jobs = journal.jobs()
        wanted = arguments.id or (jobs[-1] if jobs else "")
        if wanted not in jobs:
            known = ", ".join(jobs) or "none"
            raise CompanionError(
                f"there is no job {wanted!r} in {folder}; jobs: {known}"
            )
        facts, began = journal.facts(wanted), journal.began(wanted)
    arguments.out.mkdir(parents=True, exist_ok=True)
    wording = words_of(settings)
    for path in write_record(facts, wording, arguments.out, began):
        show(str(path))
    return 0


def _model(arguments: Namespace, show: Show) -> int:
    from companion.shell.model_files import add_model, read_pin

    place = add_model(arguments.file, read_pin(arguments.file), arguments.to)
    show(f'The model is whole. In companion.toml: model_folder = "{place}"')
    return 0


def _tables(arguments: Namespace, show: Show) -> int:
    from companion.shell.table_building import build

    build(arguments.out)
    show(f"written: {arguments.out}")
    return 0

"""The command line: ``companion COMMAND``; ``companion COMMAND --help`` explains each.

Exit codes: 0 done, 1 a problem or a refusal, 2 wrong usage, 130 interrupted.
"""

import json
import os
import sys
import traceback
from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from typing import Any

from companion import __version__
from companion.shell.commands import add_commands
from companion.shell.lookup_answer import Answer, LookupRefusal, LookupUsage
from companion.shell.lookup_commands import add_lookups, look_up
from companion.shell.trouble import EXPECTED


def build_parser() -> ArgumentParser:
    """Make the parser with every command."""
    parser = ArgumentParser(prog="companion", description=__doc__)
    parser.add_argument("--version", action="version", version=__version__)
    parser.add_argument(
        "--debug", action="store_true", help="show where in the program a problem arose"
    )
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    add_commands(commands)
    add_lookups(commands)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command line; give the exit code."""
    arguments = build_parser().parse_args(argv)
    try:
        return _run(arguments)
    except LookupUsage as wrong:
        print(f"companion: {wrong}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader of our output has gone; nothing is left to tell it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except EXPECTED as trouble:
        if arguments.debug:
            traceback.print_exc()
        if getattr(arguments, "json", False):
            _print_json(LookupRefusal("problem", str(trouble)).json)
        else:
            print(f"companion: {trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


def _run(arguments: Namespace) -> int:
    if hasattr(arguments, "ask"):
        return _look_up(arguments)
    code: int = arguments.command(arguments, _print)
    return code


def _look_up(arguments: Namespace) -> int:
    try:
        answer = look_up(arguments)
    except LookupRefusal as refusal:
        if arguments.json:
            _print_json(refusal.json)
        else:
            print(f"companion: {refusal.message}", file=sys.stderr)
        return 1
    _show(answer, as_json=arguments.json)
    return 0


def _show(answer: Answer, *, as_json: bool) -> None:
    if as_json:
        _print_json(dict(answer.json))
    else:
        print(answer.text)


def _print_json(value: dict[str, Any]) -> None:
    print(json.dumps(value, ensure_ascii=False))


def _print(line: str) -> None:
    print(line, flush=True)


if __name__ == "__main__":
    raise SystemExit(main())

"""What every look-up command has in common on the command line."""

import re
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from dataclasses import fields
from typing import Any

from companion.knowledge.loading import Knowledge
from companion.shell.lookup_answer import Answer
from companion.shell.lookup_arguments import SEA_LEVEL

Subparsers = Any
Ask = Callable[[Knowledge, Namespace], Answer]


def add_lookup(commands: Subparsers, name: str, text: str, ask: Ask) -> ArgumentParser:
    """Add a look-up command, and what answers it."""
    parser: ArgumentParser = commands.add_parser(name, help=text, description=text)
    parser.add_argument("--json", action="store_true", help="answer as one JSON object")
    parser.set_defaults(ask=ask)
    # Else -10C, a winter's day, is taken for an option; later Pythons do this alone.
    parser._negative_number_matcher = re.compile(r"-\.?\d")  # noqa: SLF001 - as above
    return parser


def add_altitude(parser: ArgumentParser) -> None:
    """Add where the gauge stands."""
    parser.add_argument(
        "--altitude", default=SEA_LEVEL, help="height of the site, for example 5000ft"
    )
    parser.add_argument(
        "--air", help="local air pressure instead, absolute, for example 84kPa"
    )


def taken(given: Namespace, record: type[Any]) -> dict[str, Any]:
    """Take the fields of a record of arguments from the command line."""
    return {field.name: getattr(given, field.name) for field in fields(record)}

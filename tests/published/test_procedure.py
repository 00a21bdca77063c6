"""Every row of our list of published checks, through the look-ups as they are typed."""

import shlex
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest

from companion.cli import build_parser
from companion.knowledge.loading import Knowledge
from companion.knowledge.tables import Mark
from companion.shell.knowledge_files import read_knowledge
from companion.shell.lookup_answer import LookupRefusal

ROWS: list[dict[str, Any]] = tomllib.loads(
    Path(__file__).with_name("procedure.toml").read_text(encoding="utf-8")
)["row"]
ASKED = [row for row in ROWS if "asked" in row]
LISTED = 116
"""Rows that our list of published checks holds."""


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _ask(knowledge: Knowledge, words: str) -> tuple[dict[str, Any], str]:
    """Answer a look-up as typed; give its JSON and the kind of its refusal."""
    given = build_parser().parse_args(shlex.split(words))
    try:
        return dict(given.ask(knowledge, given).json), ""
    except LookupRefusal as refusal:
        return refusal.json, refusal.kind


def _value(found: dict[str, Any], key: str) -> Any:
    """Give a value, or that of a named condition; "none" where there is nothing."""
    if key.startswith("conditions."):
        name = key.removeprefix("conditions.")
        return next(row["value"] for row in found["conditions"] if row["name"] == name)
    return "none" if found[key] is None else found[key]


@pytest.mark.parametrize("row", ASKED, ids=lambda row: row["number"])
def test_a_published_row(knowledge: Knowledge, row: dict[str, Any]) -> None:
    found, refusal = _ask(knowledge, row["asked"])
    assert refusal == row.get("refusal", "")
    for key, expected in row.get("near", {}).items():
        off = abs(_value(found, key) - expected)
        assert off <= row["tolerance"], (key, found[key], row["source"])
    for key, expected in row.get("equal", {}).items():
        assert _value(found, key) == expected
    if "also" in row:
        words, key, expected = row["also"]
        again, _ = _ask(knowledge, words)
        assert abs(again[key] - float(expected)) <= row["tolerance"]


def test_every_listed_row_is_here_once() -> None:
    numbers = [row["number"] for row in ROWS]
    assert len(numbers) == len(set(numbers)) == LISTED
    for row in ROWS:
        assert len(row["source"]) > 10
        assert row["mark"] in get_args(Mark)
        # Asked of a look-up, in a test of its own, or left out for a reason.
        assert sum(key in row for key in ("asked", "tested", "reason")) == 1
        if "asked" in row:
            assert {"near", "equal", "refusal"} & row.keys()


def test_a_row_tested_elsewhere_names_a_test_that_is_there() -> None:
    root = Path(__file__).parents[2]
    for row in ROWS:
        if "tested" in row:
            file, _, name = row["tested"].partition("::")
            assert f"def {name}(" in (root / file).read_text(encoding="utf-8")


TABLE = [
    [int(cell) if cell else None for cell in line.split(",")]
    for line in Path(__file__)
    .with_name("target_superheat.csv")
    .read_text(encoding="utf-8")
    .splitlines()
    if line[0].isdigit()
]
WET_BULBS = range(50, 77, 2)


def _cells() -> Iterator[tuple[int, int, int | None]]:
    for outdoor, *row in TABLE:
        for wet_bulb, target in zip(WET_BULBS, row, strict=True):
            assert outdoor is not None
            yield outdoor, wet_bulb, target


def test_every_cell_of_the_printed_table(knowledge: Knowledge) -> None:
    """Installation manuals of two makers, three copies, one of them in Celsius.

    In Celsius as typed there too: 0.01 C of rounding is worth 0.02 F of target.
    """
    cells = list(_cells())
    assert len(cells) == 13 * 14
    assert sum(target is not None for *_, target in cells) == 118
    for outdoor, wet_bulb, target in cells:
        words = f"target superheat --wet-bulb {wet_bulb}F --outdoor {outdoor}F"
        found, refusal = _ask(knowledge, words)
        if target is None:
            assert refusal == "no-go", (outdoor, wet_bulb)
            continue
        assert found["target_f"] == target, (outdoor, wet_bulb)
        celsius = (outdoor - 32) / 1.8, (wet_bulb - 32) / 1.8
        words = (
            f"target superheat --outdoor {celsius[0]:.8f}C --wet-bulb {celsius[1]:.8f}C"
        )
        again, _ = _ask(knowledge, words)
        assert again["target_f"] == pytest.approx(target, abs=0.02)


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        # A dash at any corner of a cell leaves the cell without a target.
        ("target superheat --outdoor 83F --wet-bulb 61F", "no-go"),
        ("target superheat --outdoor 95F --wet-bulb 63.9F", "no-go"),
        ("target superheat --outdoor 95.1F --wet-bulb 64F", "no-go"),
        ("target superheat --outdoor 54.9F --wet-bulb 60F", "outside-targets"),
        ("target superheat --outdoor 115.1F --wet-bulb 76F", "outside-targets"),
        ("target superheat --outdoor 95F --wet-bulb 76.1F", "outside-targets"),
        ("target superheat --outdoor 55F --wet-bulb 49.9F", "outside-targets"),
    ],
)
def test_no_target_is_made_up(knowledge: Knowledge, words: str, refusal: str) -> None:
    _, found = _ask(knowledge, words)
    assert found == refusal

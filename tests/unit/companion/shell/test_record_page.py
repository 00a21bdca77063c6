"""The record page in both languages: the same values in the same order."""

import re
from importlib.resources import files

import pytest

from companion.job.know import Know
from companion.job.record import job_record
from companion.shell.report import PAGES, record_page
from companion.shell.wording import Wording, read_wording
from tests.conftest import SITES, Play


def places(name: str) -> list[str]:
    page = files("companion.shell") / "data" / name
    return re.findall(r"\{[{%].*?[%}]\}", page.read_text(encoding="utf-8"))


def test_both_pages_hold_the_same_values() -> None:
    quoted = re.compile(r'"[^"]*"')
    spanish, english = (
        [quoted.sub("", place) for place in places(PAGES[language])]
        for language in ("es", "en")
    )
    assert spanish == english
    assert len(places(PAGES["en"])) > 20


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("en", ("Job record", "charged to the target", "Without a dip tube")),
        ("es", ("Registro del trabajo", "cargada hasta el objetivo", "Sin tubo de")),
    ],
)
def test_a_page_speaks_its_language(
    know: Know, wording: Wording, language: str, told: tuple[str, ...]
) -> None:
    play = Play(know, wording).begin().walk(SITES["liquid-pulses"])
    words = read_wording("us", language="es" if language == "es" else "en")
    page = record_page(job_record(play.facts), words)
    for part in told:
        assert part in page

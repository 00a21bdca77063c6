"""Every cue without its words: a lamp and a vibration each, and the page that says so."""

from pathlib import Path

import pytest

from companion.job.cues import CUES
from companion.job.outputs import Say
from companion.shell.signals import (
    SIGNALS,
    counted,
    cue_table,
    kind_of,
    signal,
    table,
    tone_before,
)
from hardware.patterns import BUZZ_PATTERNS, LAMP_PATTERNS

WIRING = Path(__file__).resolve().parents[4] / "hardware" / "WIRING.md"


def said(cue: str, *, urgent: bool = False) -> Say:
    return Say(cue=cue, values=dict.fromkeys(CUES[cue], "x"), urgent=urgent)


@pytest.mark.parametrize("cue", CUES)
def test_every_cue_can_be_felt_and_seen(cue: str) -> None:
    found = signal(cue)
    assert BUZZ_PATTERNS[found.buzz].is_on(0)
    urgent = kind_of(cue) in ("danger", "caution", "open")
    assert urgent == (found.attention is not None)


@pytest.mark.parametrize("cue", [cue for cue in CUES if cue.startswith("close")])
def test_every_close_call_is_danger_by_tone_lamp_and_vibration(cue: str) -> None:
    if cue == "closed-heard":
        assert kind_of(cue) == "taken"
        return
    found = signal(cue)
    assert kind_of(cue) == "danger"
    assert found.attention is not None
    assert LAMP_PATTERNS[found.attention].next_change(9) is not None
    assert BUZZ_PATTERNS[found.buzz].next_change(9) is not None
    assert tone_before(said(cue, urgent=True)) == "danger"


def test_an_urgent_sentence_is_never_without_a_tone_before_it() -> None:
    assert {tone_before(said(cue, urgent=True)) for cue in CUES} == {
        "danger",
        "caution",
        "information",
    }


def test_the_word_to_open_is_like_no_other() -> None:
    assert [cue for cue in CUES if kind_of(cue) == "open"] == ["open-now"]
    buzzes = [found.buzz for found in SIGNALS.values()]
    assert len(set(buzzes)) == len(buzzes)
    assert len({BUZZ_PATTERNS[buzz].changes_ms for buzz in buzzes}) == len(buzzes)


def test_digits_are_counted() -> None:
    assert counted(Say(cue="dial-digit", values={"digit": "7"})) == 7
    assert counted(Say(cue="dial-digit", values={"digit": "minus"})) is None
    assert counted(said("noted")) is None


def test_the_wiring_page_has_the_tables() -> None:
    page = WIRING.read_text(encoding="utf-8")
    assert table() in page, f"put this into WIRING.md:\n{table()}"
    assert cue_table() in page, f"put this into WIRING.md:\n{cue_table()}"

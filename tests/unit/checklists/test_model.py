import pickle
from datetime import date, timedelta
from typing import Any

import pytest
from pydantic import ValidationError

from checklists.model import (
    CERTAINTIES,
    MOST_WORDS,
    Checklist,
    DoStep,
    certainty,
    expired,
)

STEP: dict[str, Any] = {
    "kind": "do",
    "id": "shoes",
    "say": "Put on your shoes.",
    "why": "Stones are sharp.",
    "source": "from memory",
}
REVIEW = date(2030, 1, 31)


def checklist(**changes: Any) -> Checklist:
    raw = {
        "id": "walk",
        "revision": 1,
        "purpose": "Walk.",
        "review_by": REVIEW,
        "steps": [STEP],
    }
    return Checklist.model_validate(raw | changes)


@pytest.mark.parametrize(("days", "gone"), [(-1, False), (0, False), (1, True)])
def test_a_list_expires_after_its_review_date(days: int, gone: bool) -> None:
    assert expired(checklist(), REVIEW + timedelta(days=days)) is gone


def test_records_are_frozen_hashable_and_can_be_pickled() -> None:
    one = checklist(applies={"unit": ["off"]})
    with pytest.raises(ValidationError, match="frozen"):
        one.revision = 2
    assert hash(one) == hash(checklist(applies={"unit": ["off"]}))
    assert pickle.loads(pickle.dumps(one)) == one  # noqa: S301 - our own bytes


@pytest.mark.parametrize("word", CERTAINTIES)
def test_the_certainty_ends_the_source(word: str) -> None:
    assert certainty(f"A book, page 3; {word}") == word


@pytest.mark.parametrize(
    "source", ["", "A book", "A book; certain", "A bookcomputed", "computed; A book"]
)
def test_a_source_without_certainty_is_refused(source: str) -> None:
    with pytest.raises(ValueError, match="must end with a semicolon and one of"):
        certainty(source)


@pytest.mark.parametrize("word", ["read at source", "second-hand", "computed"])
def test_what_was_read_or_computed_needs_a_citation(word: str) -> None:
    with pytest.raises(ValidationError, match="needs a citation before it"):
        DoStep.model_validate(STEP | {"source": word})


@pytest.mark.parametrize("words", [MOST_WORDS, MOST_WORDS + 1])
def test_the_longest_sentence(words: int) -> None:
    raw = STEP | {"say": " ".join(["go"] * words) + "."}
    if words <= MOST_WORDS:
        assert DoStep.model_validate(raw).say == raw["say"]
    else:
        with pytest.raises(ValidationError, match="has 23 words; at most 22"):
            DoStep.model_validate(raw)


@pytest.mark.parametrize(
    "say", ["", ".", "Go", "Go?", "Go. Now.", "Go 5 %.", "Go; now.", "Go at 40°."]
)
def test_what_a_voice_cannot_say_as_one_statement_is_refused(say: str) -> None:
    with pytest.raises(ValidationError):
        DoStep.model_validate(STEP | {"say": say})

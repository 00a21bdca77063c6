import pytest

from companion.job.questions import QUESTIONS, READINGS, base_key


@pytest.mark.parametrize(
    ("key", "base"),
    [
        ("scale", "scale"),
        ("suction-pressure@12", "suction-pressure"),
        ("cylinder-weight#0", "cylinder-weight"),
        ("cylinder-weight#end", "cylinder-weight"),
        ("ready#3", "ready"),
        ("leak/leak-found", "leak/leak-found"),
        ("", ""),
    ],
)
def test_a_key_without_its_round_or_opening(key: str, base: str) -> None:
    assert base_key(key) == base


def test_the_readings_of_a_round_are_questions() -> None:
    assert set(READINGS) <= set(QUESTIONS)


def test_both_designations_are_always_read_back() -> None:
    always = {key for key, each in QUESTIONS.items() if each.confirm == "always"}
    assert always == {"unit-refrigerant", "cylinder-refrigerant"}


def test_no_number_or_choice_goes_without_a_read_back_when_unsure() -> None:
    never = {each.expects for each in QUESTIONS.values() if each.confirm == "never"}
    assert never <= {"yes-no", "done", "ready"}

import pytest

from speech.words import tokens


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("One  EIGHTEEN", "one eighteen"),
        ("R-410A, please!", "r four one zero a please"),
        ("118 psi", "one one eight psi"),
        ("-4", "minus four"),
        ("62.5", "six two point five"),
        (".5 oz", "point five oz"),
        ("1,018", "one zero one eight"),
        ("don't know", "don't know"),
        ("one [unk] eight", "one [unk] eight"),
        ("twenty-five", "twenty five"),
        ("", ""),
        ("...", ""),
    ],
)
def test_tokens(text, words):
    assert " ".join(tokens(text)) == words

"""What the simulated technician says is understood, in each language."""

import pytest

from companion.shell.rehearsal.tongues import ANSWERS, interjection
from companion.shell.wording import read_wording
from speech import LANGUAGES, Choice, Control, LanguageId, Vocabulary, understand


@pytest.mark.parametrize("language", list(ANSWERS))
def test_every_answer_means_what_it_is_meant_to(language: LanguageId) -> None:
    tongue = LANGUAGES[language]
    phrases = read_wording("us", language=language).tables.phrases
    for word, said in ANSWERS[language].items():
        if word == "finish":
            asked = Vocabulary(choices={"finish": tuple(phrases["finish"])})
            assert understand(said, asked, language=tongue) == Choice(option="finish")
        elif word != "unknown" or language == "es":
            asked = Vocabulary(controls=(word,))
            assert understand(said, asked, language=tongue) == Control(id=word)


def test_an_interjection_is_said_in_the_language_of_the_job() -> None:
    assert interjection("say again", LANGUAGES["en"]) == "say again"
    assert interjection("say again", LANGUAGES["es"]) == "repite"
    assert interjection("hello there", LANGUAGES["es"]) == "hello there"

"""Both languages: the same controls and units, and what each understands."""

import pytest

from speech import (
    CONTROLS,
    LANGUAGES,
    SPANISH,
    Choice,
    Control,
    Name,
    Number,
    NumberRange,
    Unclear,
    Vocabulary,
    shipped_phrases,
    understand,
)
from speech.engines import choose_engine
from speech.grammar import phrase_list
from speech.language import LanguageId
from speech.ports import DeviceError

ASKED = Vocabulary(
    numbers=NumberRange(low=-14, high=500, decimals=1, units=("psi", "bar", "kpa")),
    names=("R-410A", "R-22"),
    choices={"cooling": ("funcionando en frío", "en frío")},
    controls=("yes", "no", "again", "stop", "close"),
)
HEARD = [
    ("marca setenta y cuatro libras", Number(value=74, unit="psi")),
    ("ocho coma tres bar", Number(value="8.3", unit="bar")),
    ("sí", Control(id="yes")),
    ("SI", Control(id="yes")),
    ("repite por favor", Control(id="again")),
    ("en frio", Choice(option="cooling")),
    ("R-410A", Name(designation="R-410A")),
    ("para la bomba", Unclear(words="para la bomba")),
    ("1,200", Unclear(words="1,200")),
]


@pytest.mark.parametrize(("words", "meaning"), HEARD)
def test_what_spanish_words_mean(words: str, meaning: object) -> None:
    if isinstance(meaning, Number):
        found = understand(words, ASKED, language=SPANISH)
        assert isinstance(found, Number)
        assert (float(found.value), found.unit) == (float(meaning.value), meaning.unit)
        return
    assert understand(words, ASKED, language=SPANISH) == meaning


@pytest.mark.parametrize(
    ("words", "control"),
    [
        ("¡alto!", "stop"),
        ("para", "stop"),
        ("pare la carga", "stop"),
        ("stop", "stop"),
        ("cierra", "close"),
        ("cierre la válvula ya", "close"),
        ("oiga cierre pare", "stop"),
    ],
)
def test_stop_and_close_are_obeyed_whatever_is_expected(
    words: str, control: str
) -> None:
    assert understand(words, Vocabulary(), language=SPANISH) == Control(id=control)


@pytest.mark.parametrize("language", list(LANGUAGES))
@pytest.mark.parametrize("control", CONTROLS)
def test_every_control_is_understood_by_each_of_its_phrases(
    language: LanguageId, control: str
) -> None:
    tongue = LANGUAGES[language]
    for phrase in shipped_phrases(language).controls[control]:
        listed = understand(phrase, Vocabulary(controls=(control,)), language=tongue)
        assert listed == Control(id=control)


def test_a_closed_valve_is_not_a_close_in_spanish() -> None:
    listed = Vocabulary(controls=("closed",))
    for phrase in ("cerrada", "cerrada del todo", "válvula cerrada"):
        assert understand(phrase, listed, language=SPANISH) == Control(id="closed")
    for decoy in shipped_phrases("es").decoys["closed"]:
        assert understand(decoy, listed, language=SPANISH) != Control(id="closed")


def test_the_word_list_for_a_recogniser_is_spanish() -> None:
    listed = phrase_list(ASKED, shipped_phrases("es"), lambda _: True, SPANISH)
    for phrase in (
        "sí",
        "ciento dieciocho",
        "cuatro diez alfa",
        "coma cinco",
        "en frío",
    ):
        assert phrase in listed
    assert not {"yes", "one", "hundred"} & {
        word for each in listed for word in each.split()
    }


def test_the_bundled_recogniser_says_that_it_is_english_only() -> None:
    with pytest.raises(DeviceError, match="pocketsphinx, knows English only"):
        choose_engine("pocketsphinx", "", "es")

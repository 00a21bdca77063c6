import re

import pytest

from speech import Control, Unclear, Vocabulary, understand
from speech.phrases import load_phrases, shipped_phrases
from speech.ports import SpeechFileError
from speech.vocabulary import CONTROLS, UNITS
from speech.words import tokens

GOOD = "[controls]\n" + "".join(f'{name} = ["say {name}"]\n' for name in CONTROLS)
GOOD = GOOD.replace('"say closed"', '"shut"') + "[units]\n"
GOOD += "".join(f'{name} = ["unit {name}"]\n' for name in UNITS)


def test_the_shipped_table_covers_every_id_with_a_short_and_a_long_form():
    phrases = shipped_phrases()
    assert set(phrases.controls) == set(CONTROLS)
    assert set(phrases.units) == set(UNITS)
    for control, said_as in phrases.controls.items():
        lengths = {len("".join(tokens(phrase))) for phrase in said_as}
        assert len(lengths) > 1, control


def test_phrases_find_their_control():
    phrases = shipped_phrases()
    assert phrases.control_of(("emergency", "stop")) == "stop"
    assert phrases.control_of(("valve", "closed")) == "closed"
    assert phrases.control_of(("nothing",)) is None


def test_a_good_table_loads():
    assert load_phrases(GOOD, "good.toml").controls["yes"] == ("say yes",)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (('"say yes"', '"say no"'), r"bad\.toml: controls\.no: 'say no' is also a"),
        (('"say yes"', '"one eighteen"'), r"controls\.yes: 'one eighteen' is a number"),
        (('"say yes"', '"please stop"'), r"controls\.yes: 'please stop' holds"),
        (('"say yes"', '"unit psi"'), r"units\.psi: 'unit psi' is also a phrase of"),
        (('"say yes"', '"!"'), r"controls\.yes: '!' has no words"),
        (('yes = ["say yes"]', "yes = []"), r"controls\.yes: .*at least 1"),
        (("yes =", "yess ="), r"controls\.yess: not a known id"),
        (("yes =", "yess ="), r"controls\.yes: is missing"),
        (("[units]", "[more]\n[units]"), r"bad\.toml: more: Extra"),
        (("[units]", "[units"), r"bad\.toml: not TOML"),
        (
            ("[units]", '[decoys]\nyes = ["say yes"]\n[units]'),
            r"decoys\.yes: 'say yes'",
        ),
        (("[units]", '[decoys]\nyess = ["no"]\n[units]'), r"decoys\.yess: not a known"),
    ],
)
def test_faults_are_named_with_file_and_key(change, fault):
    with pytest.raises(SpeechFileError) as problem:
        load_phrases(GOOD.replace(*change, 1), "bad.toml")
    assert re.search(fault, str(problem.value))


def test_all_faults_come_at_once():
    text = GOOD.replace('"say yes"', '"say no"').replace('"say why"', '"stop"')
    with pytest.raises(SpeechFileError) as problem:
        load_phrases(text, "bad.toml")
    assert len(str(problem.value).splitlines()) == 2


@pytest.mark.parametrize("control", list(shipped_phrases().decoys))
def test_no_decoy_means_its_control(control):
    for decoy in shipped_phrases().decoys[control]:
        meaning = understand(decoy, Vocabulary(controls=(control,)))
        assert meaning in (Unclear(words=decoy), Control(id="close")), decoy

import pytest

from speech.decoding import EngineChoice
from speech.engines import choose_engine, open_engine
from speech.ports import DeviceError, SpeechFileError


@pytest.fixture
def model(tmp_path):
    for name in ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    (tmp_path / "graph").mkdir()
    (tmp_path / "graph/Gr.fst").touch()
    (tmp_path / "graph/HCLr.fst").touch()
    return tmp_path


@pytest.fixture(autouse=True)
def no_model_in_the_environment(monkeypatch):
    monkeypatch.delenv("VOSK_MODEL_PATH", raising=False)


def test_without_a_model_the_engine_that_brings_its_own_is_taken():
    assert choose_engine() == EngineChoice(engine="pocketsphinx")


def test_a_model_means_vosk(model, monkeypatch):
    vosk = EngineChoice(engine="vosk", model_folder=str(model))
    assert choose_engine("auto", model) == vosk
    assert choose_engine("vosk", model) == vosk
    assert choose_engine("pocketsphinx", model).engine == "pocketsphinx"
    monkeypatch.setenv("VOSK_MODEL_PATH", str(model))
    assert choose_engine() == vosk


def test_what_is_missing_is_named(tmp_path):
    with pytest.raises(DeviceError, match="vosk needs a model"):
        choose_engine("vosk")
    with pytest.raises(SpeechFileError, match="not a vosk model"):
        choose_engine("auto", tmp_path)


def test_it_opens_and_closes():
    engine = open_engine("pocketsphinx")
    assert engine.engine == "pocketsphinx"
    engine.close()

import pytest

from speech.ports import DeviceError
from speech.rendering import Manner
from speech.sound import RATE
from speech.voice import Voice


@pytest.fixture(scope="module")
def voice():
    voice = Voice()
    yield voice
    voice.close()


def test_a_sentence_becomes_sound_without_a_system_package(voice):
    sound = voice.render("Close the valve.")
    assert 0.7 < sound.seconds < 2.5
    assert abs(sound.samples).max() > 5_000
    assert len(sound.at(RATE).samples) == pytest.approx(sound.seconds * RATE, abs=2)


def test_the_same_sentence_is_remembered(voice):
    assert voice.render("Ready.") is voice.render("Ready.")


def test_voice_rate_and_pitch_all_count(voice):
    manners = (
        Manner(),
        Manner(voice="en-us+f3"),
        Manner(voice="gmw/en-GB-x-rp"),
        Manner(rate=300),
        Manner(pitch=90),
    )
    sounds = [voice.render("One hundred eighteen.", manner) for manner in manners]
    assert len({sound.samples.tobytes() for sound in sounds}) == len(manners)
    assert sounds[3].seconds < sounds[0].seconds


def test_an_unknown_voice_is_refused_and_the_next_sentence_works(voice):
    with pytest.raises(DeviceError, match="there is no voice 'nobody'"):
        voice.render("Hello.", Manner(voice="nobody"))
    assert voice.render("Hello.").seconds > 0.2


def test_nothing_to_say_is_refused(voice):
    with pytest.raises(ValueError, match="nothing to say"):
        voice.render(" ")


@pytest.mark.parametrize("wrong", [{"rate": 10}, {"pitch": 101}])
def test_senseless_manners_are_refused(wrong):
    with pytest.raises(ValueError, match="outside"):
        Manner(**wrong)


def test_fixed_cues_are_kept_in_a_folder(tmp_path):
    first = Voice(folder=tmp_path / "cues")
    first.prepare(["Stop.", "Close the valve."])
    first.close()
    files = sorted((tmp_path / "cues").iterdir())
    assert [path.suffix for path in files] == [".wav", ".wav"]
    again = Voice(folder=tmp_path / "cues")
    kept = again.render("Stop.")
    assert kept.samples.tobytes() == first.render("Stop.").samples.tobytes()
    files[0].write_bytes(b"broken")
    files[1].write_bytes(b"broken")
    fresh = Voice(folder=tmp_path / "cues")
    assert fresh.render("Stop.").seconds > 0.2  # a damaged file is made anew
    for each in (again, fresh, first):
        each.close()


def test_what_was_prepared_is_at_hand_and_what_was_not_is_not(tmp_path):
    voice = Voice(folder=tmp_path)
    voice.prepare(["Stop."])
    assert voice.at_hand("Stop.") is voice.render("Stop.")
    assert voice.at_hand("Go.") is None
    assert voice.at_hand("Stop.", Manner(rate=200)) is None
    voice.close()
    voice.prepare(["Close."])
    assert voice.at_hand("Close.") is None


def test_a_carrying_voice_uses_the_room_there_is(tmp_path):
    voice = Voice(folder=tmp_path)
    plain = voice.render("Close the valve.")
    evened = voice.render("Close the valve.", Manner(carrying=True))
    assert abs(evened.samples.astype(int)).max() > 31_000
    assert evened.seconds == pytest.approx(plain.seconds, abs=0.05)
    voice.close()

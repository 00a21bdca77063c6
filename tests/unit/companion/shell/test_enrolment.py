"""Prompts heard, judged and kept; recordings stand in for a microphone."""

import os
from pathlib import Path

import numpy as np
import pytest

from companion.cli import main
from companion.shell.enrolment import (
    FLOORS,
    NUMBERS,
    PROMPTS,
    Tried,
    advice,
    best_profile,
    fate_of,
    judge,
    read_profile,
    write_profile,
)
from companion.shell.errors import CompanionError
from companion.shell.rehearsal.noise import fan_noise
from speech import Guess, Heard, Vocabulary, understand
from speech.sound import RATE, Samples, Sound, write_wav
from speech.voice import Voice
from speech.words import DIGITS

LOUD = np.full(RATE, 3000, np.int16)


def heard(words: str, *guesses: str) -> Heard:
    return Heard(
        words=words,
        confidence=0.9,
        sure=False,
        engine="pocketsphinx",
        begin=1,
        end=2,
        guesses=tuple(Guess(words=each, weight=0.5) for each in guesses),
        over_noise=12.0,
    )


def test_there_are_twenty_and_each_can_be_understood() -> None:
    assert len(PROMPTS) == 20
    digits: list[str] = []
    for words, vocabulary in PROMPTS:
        assert type(understand(words, vocabulary)).__name__ in ("Number", "Control")
        digits += words.split()
    for digit in DIGITS:
        assert digits.count(digit) >= 2, digit


@pytest.mark.parametrize(
    ("sound", "fate"),
    [
        (heard("one one eight"), "right"),
        (heard("one eighteen"), "right"),
        (heard("", "one eighty", "one eighteen"), "half"),
        (heard("one eighty", "one eighteen"), "wrong"),
        (heard("say again"), "wrong"),
        (heard("", "one eighty"), "nothing"),
        (heard(""), "nothing"),
        (None, "nothing"),
    ],
)
def test_what_became_of_a_prompt(sound: Heard | None, fate: str) -> None:
    assert fate_of("one one eight", NUMBERS, sound) == fate


@pytest.mark.parametrize(
    ("right", "half", "wrong", "verdict"),
    [
        (20, 0, 0, "good"),
        (16, 4, 0, "good"),
        (16, 3, 1, "fair"),
        (9, 2, 0, "fair"),
        (12, 0, 2, "not good enough"),
        (5, 5, 0, "not good enough"),
    ],
)
def test_the_verdict(right: int, half: int, wrong: int, verdict: str) -> None:
    fates = ["right"] * right + ["half"] * half + ["wrong"] * wrong
    fates += ["nothing"] * (20 - len(fates))
    tried = [
        Tried(words=words, fate=fate, over_noise=10.0)
        for (words, _), fate in zip(PROMPTS, fates, strict=True)
    ]
    profile = judge("me", 0.15, tried, [60.0])
    assert profile.verdict == verdict
    assert profile.trusted is (verdict == "good")
    assert advice(profile)


def test_words_that_mostly_failed_are_to_be_avoided() -> None:
    tried = [
        Tried(words=words, fate="half" if "six" in words else "right", over_noise=None)
        for words in ("one six", "six two", "two one", "nine six", "one", "two")
    ]
    assert judge("me", 0.15, tried, [60.0]).avoid == ("six",)


def test_the_setting_that_hears_most_is_kept() -> None:
    def deaf(_: Samples, __: Vocabulary) -> list[Heard]:
        return []

    said = iter([words for words, _ in PROMPTS])

    def keen(_: Samples, __: Vocabulary) -> list[Heard]:
        return [heard(next(said))]

    sounds = tuple([LOUD] * 20)
    profile = best_profile("me", sounds, {0.15: deaf, 0.1: keen, 0.2: deaf})
    assert (profile.floor, profile.right, profile.verdict) == (0.1, 20, "good")
    nothing = best_profile("me", sounds, {0.15: deaf, 0.1: deaf})
    assert (nothing.floor, nothing.verdict) == (0.15, "not good enough")
    assert "buttons" in " ".join(advice(nothing))


def test_a_profile_is_read_back_as_it_was(tmp_path: Path) -> None:
    tried = [Tried(words=words, fate="right", over_noise=9.0) for words, _ in PROMPTS]
    for over in (True, False):
        given = tried if over else [Tried(words="one", fate="half", over_noise=None)]
        profile = judge('the "left" hand', 0.1, given, [60.0])
        write_profile(tmp_path / "voice.toml", profile)
        assert read_profile(tmp_path / "voice.toml") == profile


@pytest.mark.parametrize(
    "text", ["", "verdict = 'superb'\nfloor = 0.1", "floor = ", "verdict = 'good'"]
)
def test_a_broken_profile_says_what_to_do(tmp_path: Path, text: str) -> None:
    path = tmp_path / "voice.toml"
    path.write_text(text)
    with pytest.raises(CompanionError, match=r"voice.toml.*companion enrol"):
        read_profile(path)
    with pytest.raises(CompanionError, match="companion enrol"):
        read_profile(tmp_path / "missing.toml")


def test_missing_recordings_are_named_with_their_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["enrol", "--from", str(tmp_path), "--out", str(tmp_path / "v")]) == 1
    told = capsys.readouterr().err
    assert "20.wav" in told
    assert "emergency stop" in told


@pytest.mark.voice
@pytest.mark.slow
@pytest.mark.skipif(
    os.environ.get("HYPOTHESIS_PROFILE") == "ci",
    reason="takes a minute: left to `python3 -m tests`",
)
def test_twenty_recordings_make_a_profile(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    voice = Voice()
    for number, (words, _) in enumerate(PROMPTS, start=1):
        said = np.pad(voice.render(words).at(RATE).samples / 3.0, RATE)
        noise = fan_noise(10, number)[: len(said)] * 150
        sound = Sound(samples=np.rint(said + noise).astype(np.int16))
        write_wav(tmp_path / f"{number:02}.wav", sound)
    voice.close()
    out = tmp_path / "voice.toml"
    code = main(
        ["enrol", "--technician", "7", "--from", str(tmp_path), "--out", str(out)]
    )
    profile = read_profile(out)
    assert code == (1 if profile.verdict == "not good enough" else 0)
    assert profile.technician == "7"
    assert profile.right > 10
    assert profile.floor in FLOORS
    assert "heard right" in capsys.readouterr().out

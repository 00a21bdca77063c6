"""``companion hear``: a recording through the very path a microphone's sound takes."""

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from companion.cli import main
from companion.shell.hearing import in_noise
from companion.shell.rehearsal.noise import RATE, a_weighted_power, fan_noise
from speech.sound import Sound, write_wav
from speech.voice import Voice

pytestmark = [pytest.mark.voice, pytest.mark.slow]


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    made = Voice()
    yield made
    made.close()


def recording(voice: Voice, words: str, path: Path, noise_db: float = 20.0) -> Path:
    """Record words on fan noise, a second of noise before and after."""
    said = voice.render(words).at(RATE).samples.astype(np.float64)
    said *= 2500 / a_weighted_power(said) ** 0.5
    padded = np.pad(said, RATE)
    noise = fan_noise(10, 3)[: len(padded)] * 2500 / 10 ** (noise_db / 20)
    mixed = np.clip(np.rint(padded + noise), -32768, 32767).astype(np.int16)
    write_wav(path, Sound(samples=mixed))
    return path


def hear(
    capsys: pytest.CaptureFixture[str], path: Path, *words: str
) -> dict[str, object]:
    assert main(["hear", str(path), "--json", *words]) == 0
    result: dict[str, object] = json.loads(capsys.readouterr().out)
    return result


def test_a_pressure_is_heard_and_wants_a_yes(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recording(voice, "one hundred thirty two", tmp_path / "a.wav")
    result = hear(
        capsys, path, "--expect", "suction-pressure", "--refrigerant", "R-410A"
    )
    assert (result["outcome"], result["value"], result["unit"]) == (
        "confirm",
        132,
        "psi",
    )
    assert result["engine"] == "pocketsphinx"


def test_a_designation_wants_a_yes(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recording(voice, "four ten a", tmp_path / "a.wav")
    result = hear(capsys, path, "--expect", "refrigerant")
    assert (result["outcome"], result["value"]) == ("confirm", "R-410A")


def test_stop_is_a_control_wherever_it_is_said(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recording(voice, "emergency stop", tmp_path / "a.wav")
    result = hear(capsys, path, "--expect", "liquid-pressure")
    assert (result["outcome"], result["value"]) == ("control", "stop")


def test_an_impossible_pressure_is_asked_again(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recording(voice, "four hundred ninety", tmp_path / "a.wav")
    result = hear(
        capsys, path, "--expect", "suction-pressure", "--refrigerant", "R-134a"
    )
    assert result["outcome"] == "again"


def test_noise_alone_is_silence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    noise = (fan_noise(4, 3) * 800).astype(np.int16)
    path = tmp_path / "noise.wav"
    write_wav(path, Sound(samples=noise))
    result = hear(capsys, path, "--expect", "suction-pressure")
    assert result["outcome"] in ("silence", "again")
    assert result["value"] is None


def test_another_rate_is_taken(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = recording(voice, "affirmative", tmp_path / "a.wav")
    sound = Sound(
        samples=np.frombuffer(first.read_bytes()[44:], dtype=np.int16), rate=RATE
    )
    write_wav(tmp_path / "b.wav", sound.at(44_100))
    result = hear(capsys, tmp_path / "b.wav", "--expect", "read-back")
    assert (result["outcome"], result["value"]) == ("control", "yes")


@pytest.mark.parametrize("content", [b"", b"RIFF", b"no sound at all"])
def test_a_file_that_is_no_recording_is_said_so(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.wav"
    path.write_bytes(content)
    assert main(["hear", str(path), "--expect", "suction-pressure"]) == 1
    assert "bad.wav" in capsys.readouterr().err


def test_noise_is_put_under_the_voice() -> None:
    tone = (4000 * np.sin(np.arange(2 * RATE) * 2 * np.pi * 1000 / RATE)).astype(
        np.int16
    )
    mixed = in_noise(tone, 10.0)
    assert len(mixed) == len(tone) + 2 * RATE
    before = a_weighted_power(mixed[:RATE].astype(float))
    apart = 10 * np.log10(a_weighted_power(tone.astype(float)) / before)
    assert apart == pytest.approx(10, abs=0.7)


def test_heavy_noise_leaves_nothing_to_accept(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recording(voice, "one hundred thirty two", tmp_path / "a.wav")
    result = hear(capsys, path, "--expect", "suction-pressure", "--noise", "-15")
    assert result["outcome"] in ("silence", "again")


@pytest.mark.parametrize("words", ["hand me that wrench would you", "it is very loud"])
def test_talk_is_not_a_reading(
    words: str, voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = recording(voice, words, tmp_path / "a.wav")
    result = hear(capsys, path, "--expect", "suction-pressure")
    assert result["outcome"] in ("silence", "again")

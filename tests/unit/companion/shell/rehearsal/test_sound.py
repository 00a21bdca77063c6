"""A whole rehearsal with sound: the real recogniser hears every line of the technician."""

import json
import wave
from pathlib import Path

import numpy as np
import pytest

from companion.shell.rehearsal.command import RehearseOptions, rehearse_command
from companion.shell.rehearsal.noise import RATE, a_weighted_power, fan_noise
from companion.shell.settings import Settings


@pytest.mark.slow
@pytest.mark.voice
def test_a_job_is_played_by_voice_alone_up_to_its_method(tmp_path: Path) -> None:
    """Whole jobs by voice take minutes: ``tests/benchmarks/rehearsals.py``."""
    told: list[str] = []
    options = RehearseOptions(
        scenario="weigh-in",
        seed=2,
        typed=False,
        buttons=False,
        noise_db=None,
        out=tmp_path,
        as_json=True,
        until=lambda job: job.method is not None,
    )
    rehearse_command(options, Settings(), told.append)
    result = json.loads(told[-1])
    assert result["readings"]["accepted_wrong"] == 0
    assert result["readings"]["accepted_right"] >= 4
    lines = (tmp_path / "transcript.txt").read_text(encoding="utf-8").splitlines()
    said = [line for line in lines if "TECHNICIAN" in line]
    heard = [line for line in lines if "pocketsphinx" in line]
    assert len(heard) > len(said) / 2
    with wave.open(str(tmp_path / "conversation.wav")) as track:
        assert track.getframerate() == RATE
        assert track.getnframes() > 60 * RATE


def test_fan_noise_is_level_repeatable_and_loops() -> None:
    first, again, other = fan_noise(5, 1), fan_noise(5, 1), fan_noise(5, 2)
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)
    assert a_weighted_power(first) == pytest.approx(1.0, rel=0.01)


@pytest.mark.parametrize(
    ("hertz", "decibel"),
    # IEC 61672-1:2013, table 3: A-weighting at exact third-octave frequencies.
    [(1000.0, 0.0), (100.0, -19.1), (500.0, -3.2), (4000.0, 1.0)],
)
def test_a_weighting_is_the_standards(hertz: float, decibel: float) -> None:
    at = np.arange(RATE) / RATE
    power = a_weighted_power(np.sin(2 * np.pi * hertz * at))
    assert 10 * np.log10(power / 0.5) == pytest.approx(decibel, abs=0.1)

"""Get used to a voice in its place: twenty prompts, and an honest verdict.

The technician reads twenty short lines, with the noise of the place before each. Every
line goes through the same cutter and recogniser as in a job, once for each setting of
the noise reduction; the best setting is kept. What is found out goes into a small file
that the settings name: the setting, how loud voice and noise were, which words to avoid,
and whether this voice is heard well enough here for one read-back instead of two, or at
all.
"""

import json
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Literal

from companion.shell.errors import CompanionError
from companion.shell.exports import write_whole
from speech import (
    Control,
    Heard,
    Number,
    NumberRange,
    Utterance,
    Vocabulary,
    understand,
)
from speech.noise_level import level_db
from speech.sound import Samples

FLOORS = (0.15, 0.1, 0.2)
"""Settings of the noise reduction that are tried; the first is the usual one."""
_FULL_DB = 90.3  # a full-scale sine, in dB over one count
_LOUD_DB, _FAINT_DB = -3.0, -40.0  # of full scale
_GOOD, _FAIR = 16, 11
_MOST_WRONG = 1
_AVOID_SHARE = 0.6

NUMBERS = Vocabulary(
    numbers=NumberRange(low=-15, high=500, decimals=1, units=("psi",)),
    controls=("again", "why", "back", "status", "help", "stop", "close"),
)
WORDS = Vocabulary(
    controls=(
        "yes",
        "no",
        "closed",
        "opened",
        "ready",
        "again",
        "done",
        "stop",
        "close",
    )
)

PROMPTS: tuple[tuple[str, Vocabulary], ...] = (
    ("one one eight", NUMBERS),
    ("seven four", NUMBERS),
    ("three four two", NUMBERS),
    ("two zero five", NUMBERS),
    ("nine six", NUMBERS),
    ("four six zero", NUMBERS),
    ("one hundred thirty five", NUMBERS),
    ("two nine seven", NUMBERS),
    ("fifty eight", NUMBERS),
    ("sixty two", NUMBERS),
    ("eight three", NUMBERS),
    ("two eighteen", NUMBERS),
    ("affirmative", WORDS),
    ("negative", WORDS),
    ("fully shut", WORDS),
    ("flowing", WORDS),
    ("i am ready", WORDS),
    ("say again", WORDS),
    ("emergency stop", WORDS),
    ("close the valve", WORDS),
)
"""What is read aloud: every digit twice and more, and the words of the valve."""

Fate = Literal["right", "half", "wrong", "nothing"]
Verdict = Literal["good", "fair", "not good enough"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """How one prompt went: ``half`` is the right value among others."""

    words: str
    fate: Fate
    over_noise: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """What was found out about one voice in one place.

    ``level_db`` is the voice over full scale, ``over_noise_db`` the voice over the noise,
    A-weighted. ``floor`` is the noise reduction's setting.
    """

    technician: str
    verdict: Verdict
    right: int
    half: int
    wrong: int
    level_db: float
    over_noise_db: float | None
    floor: float
    avoid: tuple[str, ...]

    @property
    def trusted(self) -> bool:
        """True where one read-back is enough."""
        return self.verdict == "good"


def fate_of(words: str, vocabulary: Vocabulary, heard: Heard | None) -> Fate:
    """Tell what became of a prompt."""
    if heard is None:
        return "nothing"
    meant = understand(words, vocabulary)
    found = understand(heard.words, vocabulary) if heard.words else None
    if found == meant:
        return "right"
    if isinstance(found, Number | Control):
        return "wrong"
    guesses: list[Utterance] = [understand(g.words, vocabulary) for g in heard.guesses]
    return "half" if meant in guesses else "nothing"


def judge(
    technician: str, floor: float, tried: Iterable[Tried], levels: Iterable[float]
) -> Profile:
    """Make a profile of how the prompts went and how loud they were [dB, A-weighted]."""
    every = tuple(tried)
    count = {fate: sum(each.fate == fate for each in every) for fate in _FATES}
    noise = [each.over_noise for each in every if each.over_noise is not None]
    good = count["right"] >= _GOOD and not count["wrong"]
    fair = count["right"] + count["half"] >= _FAIR and count["wrong"] <= _MOST_WRONG
    return Profile(
        technician=technician,
        verdict="good" if good else "fair" if fair else "not good enough",
        right=count["right"],
        half=count["half"],
        wrong=count["wrong"],
        level_db=round(median(levels) - _FULL_DB, 1),
        over_noise_db=round(median(noise), 1) if noise else None,
        floor=floor,
        avoid=_avoid(every),
    )


_FATES: tuple[Fate, ...] = ("right", "half", "wrong", "nothing")


def _avoid(tried: tuple[Tried, ...]) -> tuple[str, ...]:
    """Give the words most of whose prompts failed, if they came more than once."""
    said: dict[str, list[bool]] = {}
    for each in tried:
        for word in set(each.words.split()):
            said.setdefault(word, []).append(each.fate == "right")
    return tuple(
        sorted(
            word
            for word, right in said.items()
            if len(right) > 1 and right.count(False) / len(right) >= _AVOID_SHARE
        )
    )


def try_prompts(
    recordings: Iterable[Samples],
    hear: Callable[[Samples, Vocabulary], list[Heard]],
) -> tuple[Tried, ...]:
    """Hear every prompt's recording, the loudest utterance of each."""
    found: list[Tried] = []
    for (words, vocabulary), sound in zip(PROMPTS, recordings, strict=True):
        told = [each for each in hear(sound, vocabulary) if each.words or each.guesses]
        best = max(told, key=lambda each: each.end - each.begin, default=None)
        over = None if best is None else best.over_noise
        fate = fate_of(words, vocabulary, best)
        found.append(Tried(words=words, fate=fate, over_noise=over))
    return tuple(found)


def best_profile(
    technician: str,
    recordings: tuple[Samples, ...],
    hear_with: Mapping[float, Callable[[Samples, Vocabulary], list[Heard]]],
) -> Profile:
    """Try every setting and keep the one that heard most, the usual one in doubt."""
    levels = [level_db(each) for each in recordings]
    profiles = [
        judge(technician, floor, try_prompts(recordings, hear), levels)
        for floor, hear in hear_with.items()
    ]
    return max(profiles, key=lambda each: (each.right - 3 * each.wrong, each.half))


def advice(profile: Profile) -> list[str]:
    """Say what was found in sentences for the technician."""
    lines = [
        (
            f"{profile.right} of {len(PROMPTS)} heard right, {profile.half} half, "
            f"{profile.wrong} wrong."
        )
    ]
    if profile.level_db > _LOUD_DB:
        lines.append("The microphone is too loud: turn its level down and start again.")
    elif profile.level_db < _FAINT_DB:
        lines.append("The microphone is faint: bring it to the corner of your mouth.")
    if profile.over_noise_db is not None:
        lines.append(
            f"Your voice stands {profile.over_noise_db:.0f} dB over the noise."
        )
    if profile.avoid:
        lines.append(f"Avoid where you can: {', '.join(profile.avoid)}.")
    match profile.verdict:
        case "good":
            lines.append("Voice is good enough here. Values are read back once.")
        case "fair":
            lines.append("Voice works here with patience. Values are read back twice.")
        case "not good enough":
            lines.append(
                "Voice is not good enough here. Use the buttons and the keyboard, or "
                "try again away from the noise."
            )
    return lines


def write_profile(path: Path, profile: Profile) -> None:
    """Keep a profile."""
    over = profile.over_noise_db
    lines = [
        "# Written by companion enrol.",
        f"technician = {json.dumps(profile.technician, ensure_ascii=False)}",
        f'verdict = "{profile.verdict}"',
        f"right = {profile.right}",
        f"half = {profile.half}",
        f"wrong = {profile.wrong}",
        f"level_db = {profile.level_db}",
        *([] if over is None else [f"over_noise_db = {over}"]),
        f"floor = {profile.floor}",
        f"avoid = {json.dumps(profile.avoid)}",
    ]
    write_whole(path, "\n".join(lines) + "\n")


def read_profile(path: Path) -> Profile:
    """Read a profile back.

    Raises
    ------
    CompanionError
        If the file is missing or is none; the message says what to do.
    """
    cure = "run companion enrol again, or clear voice_profile in the settings"
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
        verdict = found["verdict"]
        if verdict not in ("good", "fair", "not good enough"):
            raise ValueError(f"the verdict {verdict!r} is none")  # noqa: TRY301
        over = found.get("over_noise_db")
        floor = float(found["floor"])
        if floor not in FLOORS:
            raise ValueError(f"the floor {floor} is none of {FLOORS}")  # noqa: TRY301
        return Profile(
            technician=str(found["technician"]),
            verdict=verdict,
            right=int(found["right"]),
            half=int(found["half"]),
            wrong=int(found["wrong"]),
            level_db=float(found["level_db"]),
            over_noise_db=None if over is None else float(over),
            floor=floor,
            avoid=tuple(str(word) for word in found["avoid"]),
        )
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise CompanionError(f"{path}: {why}; {cure}") from problem
    except (KeyError, ValueError, TypeError) as problem:
        raise CompanionError(
            f"{path}: no voice profile ({problem}); {cure}"
        ) from problem

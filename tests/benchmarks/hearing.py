"""How well the companion hears, and how seldom it takes a wrong value for right.

    .venv/bin/python tests/benchmarks/hearing.py --seed 1 --quick

Readings are said by synthetic voices and, where the folder of single digits is there,
by real people, in two noises at several levels; each is played through the whole job:
recogniser, policy, read-back, answer. Talk and bare noise are played while a value and
while a yes is due. Beside it stands the raw engine on the same sound. Every rate comes
with its upper bound (95 %, Wilson). The figures hold for these voices and noises.

``--part`` plays one part only: readings, talk, raw, stop, prompts or cost.
"""

import argparse
import math
import random
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from companion.shell.knowing import read_know
from companion.shell.wording import read_wording
from speech.pocketsphinx_listener import PocketsphinxEngine
from tests.benchmarks.hearing_dialogue import (
    MOST_ASKINGS,
    Dialogues,
    Place,
    Reading,
)
from tests.benchmarks.hearing_sounds import LEVELS, NOISES, Speakers
from tests.conftest import Play

DIGITS = Path("/work/shared/spoken-digits")


def upper(count: float, of: int) -> float:
    """Give the upper end of the 95 % interval of a share (Wilson) [%]."""
    if not of:
        return 100.0
    z, share = 1.96, count / of
    middle = share + z * z / (2 * of)
    spread = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return 100 * (middle + spread) / (1 + z * z / of)


def rate(count: float, of: int) -> str:
    """Write a share with its upper bound."""
    share = 100 * count / of if of else 0.0
    return f"{share:5.1f} (<{upper(count, of):5.1f})"


def readings(
    dialogues: Dialogues, speakers: Speakers, each: int, seed: int
) -> list[Reading]:
    """Play readings of every speaker in every noise and level."""
    found: list[Reading] = []
    started = time.monotonic()
    chance = random.Random(seed)  # noqa: S311 - seeded, so that it can be repeated
    for turn in range(each):
        for number, speaker in enumerate((*speakers.voices, *speakers.people)):
            for at, level in enumerate(LEVELS):
                noise = list(NOISES)[(turn + number + at) % len(NOISES)]
                place = Place(noise=noise, level=level)
                found.append(dialogues.reading(speaker, place, chance))
        spent = time.monotonic() - started
        print(
            f"  round {turn + 1} of {each}, {spent:.0f} s", file=sys.stderr, flush=True
        )
    return found


HEAD = (
    f"{'':24}{'n':>5} {'right at once':>15} {'read back right':>16} "
    f"{'asked again':>15} {'read back wrong':>16} {'settled':>15} {'wrong counted':>16}"
)


def row(name: str, found: list[Reading]) -> str:
    """Write one line of the table of readings."""
    n = len(found)

    def first(fate: str) -> str:
        return rate(sum(each.first == fate for each in found), n)

    settled = sum(each.outcome == "right" for each in found)
    expected = sum(each.expected_wrong for each in found)
    return (
        f"{name:24}{n:5} {first('right at once'):>15} {first('read-back right'):>16} "
        f"{first('asked again'):>15} {first('read-back wrong'):>16} "
        f"{rate(settled, n):>15} {100 * expected / max(1, n):8.3f} (<{upper(expected, n):5.2f})"
    )


def table(title: str, found: list[Reading], by: Callable[[Reading], str]) -> None:
    """Print readings by something."""
    print(f"\n{title}\n{HEAD}")
    for name in sorted({by(each) for each in found}):
        print(row(name, [each for each in found if by(each) == name]))


def report(found: list[Reading], people: Iterable[str]) -> None:
    """Print every table of the readings."""
    names = set(people)
    print(
        "\nReadings. The first four columns are what became of the first utterance [%];\n"
        f"settled is the right value counted within {MOST_ASKINGS} askings [%]; what is not "
        "settled goes to the\nkeys or buttons. Wrong counted is the chance [%] that a wrong "
        "value counted in the end,\none wrong read-back in a hundred being overlooked and "
        "each no heard as it was heard."
    )
    loud = [each for each in found if (each.place.level or 99) >= 10]
    voices = [each for each in loud if each.speaker not in names]
    print(f"\nAt 10 dB and better\n{HEAD}")
    print(row("everybody", loud))
    print(row("synthetic voices", voices))
    print(row("people's digits", [each for each in loud if each.speaker in names]))
    print(row("at 5 dB: everybody", [e for e in found if e.place.level == 5]))
    table("By noise and level", found, lambda each: each.place.name)
    table("By speaker", found, lambda each: each.speaker)
    table("By spoken form", found, lambda each: each.form)
    told = sum(each.utterances for each in found) / max(1, len(found))
    wrong = sum(each.outcome == "wrong" for each in found)
    print(
        f"\nutterances to the end of a reading, yes and no included: {told:.1f}; "
        f"wrong values that counted in this play: {wrong} of {len(found)}"
    )


def main() -> None:
    """Play what was asked for and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="about ten minutes")
    parser.add_argument("--each", type=int, help="readings of a speaker at a level")
    parser.add_argument("--digits", type=Path, default=DIGITS)
    given = parser.parse_args()
    digits = given.digits if given.digits.is_dir() else None
    if digits is None:
        print(f"{given.digits} is not there: no real people in these figures")
    speakers = Speakers(digits)
    engine = PocketsphinxEngine()
    play = Play(read_know(), read_wording("us"))
    each = given.each or (3 if given.quick else 12)
    try:
        dialogues = Dialogues(play, engine, speakers, given.seed)
        report(readings(dialogues, speakers, each, given.seed), speakers.people)
    finally:
        speakers.close()


if __name__ == "__main__":
    main()

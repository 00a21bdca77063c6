"""How well the companion hears, and how seldom it takes a wrong value for right.

    .venv/bin/python tests/benchmarks/hearing.py --seed 1 --quick

Readings are said by synthetic voices and, where the folder of single digits is there,
by real people, in two noises at several levels; each is played through the whole job:
recogniser, policy, read-back, answer. Talk and bare noise are played while a value and
while a yes is due. Beside it stands the raw engine on the same sound. Every rate comes
with its upper bound (95 %, Wilson). The figures hold for these voices and noises.

``--part`` plays one part only.
"""

import argparse
import contextlib
import random
import resource
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from companion.shell.knowing import read_know
from companion.shell.wording import read_wording
from speech.pocketsphinx_listener import PocketsphinxEngine
from speech.sound import RATE, to_samples
from tests.benchmarks.hearing_dialogue import (
    MOST_ASKINGS,
    OVERLOOKED,
    Dialogues,
    Place,
    Reading,
)
from tests.benchmarks.hearing_figures import rate, upper
from tests.benchmarks.hearing_raw import Raw
from tests.benchmarks.hearing_sounds import (
    LEVELS,
    NOISES,
    TALK,
    Speakers,
    recorded,
)
from tests.conftest import Play

DIGITS = Path("spoken-digits")
"""Folder of recorded digits, one a file, as DIGIT_SPEAKER_NUMBER.wav; see --digits."""
_RAW_EVERY = 3  # the raw engine hears every so-manieth reading


def readings(
    dialogues: Dialogues, speakers: Speakers, each: int, seed: int
) -> list[Reading]:
    """Play readings of every speaker in every noise and level.

    Interrupted, it gives what was played so far.
    """
    found: list[Reading] = []
    started = time.monotonic()
    chance = random.Random(seed)  # noqa: S311 - seeded, so that it can be repeated
    everybody = (*speakers.voices, *speakers.people)
    turns = [
        (turn + number + at, speaker, level)
        for turn in range(each)
        for at, level in enumerate(LEVELS)
        for number, speaker in enumerate(everybody)
    ]
    with contextlib.suppress(KeyboardInterrupt):
        for salt, speaker, level in turns:
            place = Place(noise=list(NOISES)[salt % len(NOISES)], level=level)
            found.append(dialogues.reading(speaker, place, chance))
            if len(found) % 15 == 0:
                spent = time.monotonic() - started
                note = f"  {len(found)} of {len(turns)}, {spent:.0f} s\n"
                sys.stderr.write(note)
    return found


HEAD = (
    f"{'':24}{'n':>5} {'right at once':>15} {'read back right':>16} "
    f"{'asked again':>15} {'read back wrong':>16} {'settled':>15} {'wrong counted':>18}"
)


def row(name: str, found: list[Reading], noes: tuple[int, int]) -> str:
    """Write one line of the table of readings."""
    n = len(found)

    def first(fate: str) -> str:
        return rate(sum(each.first == fate for each in found), n)

    settled = sum(each.outcome == "right" for each in found)
    return (
        f"{name:24}{n:5} {first('right at once'):>15} {first('read-back right'):>16} "
        f"{first('asked again'):>15} {first('read-back wrong'):>16} "
        f"{rate(settled, n):>15} {wrong_counted(found, noes):>18}"
    )


def wrong_counted(found: list[Reading], noes: tuple[int, int]) -> str:
    """Write the chance that a wrong value counted, with its upper bound.

    A wrong value counts when each of its read-backs is overlooked, or its no is heard as
    yes; ``noes`` is how many were, of how many. The bound takes the bounds of both.
    """
    n = len(found)
    once = sum(each.wrong_once for each in found)
    twice = sum(each.wrong_twice for each in found)
    misheard, said = noes
    slip = OVERLOOKED + (misheard / said if said else 0.0)
    worst = OVERLOOKED + upper(misheard, said) / 100
    share = (once * slip + twice * slip**2) / max(1, n)
    bound = upper(once, n) / 100 * worst + upper(twice, n) / 100 * worst**2
    return f"{100 * share:8.4f} (<{100 * bound:6.3f})"


def report(found: list[Reading], people: Iterable[str]) -> None:
    """Print every table of the readings."""
    names = set(people)
    noes = sum(e.noes_misheard for e in found), sum(e.noes for e in found)
    print(
        "\nReadings. The first four columns are what became of the first utterance [%];\n"
        f"settled: the right value counted within {MOST_ASKINGS} askings [%]; what is "
        "not settled goes to the keys\nor buttons. Wrong counted: the chance [%] that a "
        "wrong value counted in the end, one wrong\nread-back in a hundred being "
        "overlooked, each on its own, and noes misheard as often as in this play."
    )

    def table(title: str, by: Callable[[Reading], str]) -> None:
        print(f"\n{title}\n{HEAD}")
        for name in sorted({by(each) for each in found}):
            print(row(name, [each for each in found if by(each) == name], noes))

    def part(each: Reading) -> str:
        who = "people's digits" if each.speaker in names else "synthetic voices"
        level = each.place.level
        return f"{who}, {'5 dB' if level == 5 else '10 dB up'}"

    loud = [each for each in found if each.place.level != 5]
    print(f"\nAt 10 dB and better\n{HEAD}")
    print(row("everybody", loud, noes))
    table("By kind of speaker", part)
    table("By noise and level", lambda each: each.place.name)
    table("By speaker", lambda each: each.speaker)
    table("By spoken form", lambda each: each.form)
    told = sum(each.utterances for each in found) / max(1, len(found))
    wrong = sum(each.outcome == "wrong" for each in found)
    controls = sum(each.outcome == "taken for a control" for each in found)
    print(
        f"\nutterances to the end of a reading, yes and no included: {told:.1f}\n"
        f"wrong values that counted in this play: {wrong} of {len(found)}\n"
        f"readings taken for a control, such as go back: {controls}\n"
        f"wrong read-backs: {sum(e.wrong_once for e in found)} for one yes, "
        f"{sum(e.wrong_twice for e in found)} for two\n"
        f"noes heard as yes: {noes[0]} of {noes[1]}"
    )


def raw_report(raw: Raw, found: list[Reading], people: Iterable[str]) -> None:
    """Print what the engine alone makes of first utterances."""
    names = set(people)
    print("\nThe raw engine on the first utterance of every third reading [%]")
    print(f"{'':40}{'n':>5} {'right':>15} {'rejected':>15} {'wrong':>15}")
    some = found[::_RAW_EVERY]
    for who, those in (
        ("synthetic voices", [e for e in some if e.speaker not in names]),
        ("people's digits", [e for e in some if e.speaker in names]),
    ):
        for path in ("grammar", "open vocabulary"):
            fates = Counter(raw.fate(each, path) for each in those)
            n = len(those)
            print(
                f"{who + ', ' + path:40}{n:5} {rate(fates['right'], n):>15} "
                f"{rate(fates['rejected'], n):>15} {rate(fates['wrong'], n):>15}"
            )


def talk(dialogues: Dialogues, speakers: Speakers, count: int, seed: int) -> None:
    """Play talk and bare noise while a value, and while a yes, is due."""
    chance = random.Random(seed)  # noqa: S311 - seeded, so that it can be repeated
    taken: Counter[tuple[str, str]] = Counter()
    played: Counter[tuple[str, str]] = Counter()
    for number in range(count):
        noise = list(NOISES)[number % len(NOISES)]
        if number % 4 == 3:
            what = "bare noise"
            audio = to_samples(NOISES[noise](3.0, seed + number) * 900)
        else:
            what, level = "talk", LEVELS[number % len(LEVELS)]
            words = TALK[number % len(TALK)]
            said = speakers.say(chance.choice(speakers.voices), words)
            audio = recorded(said.sound, noise, level, seed + number)
        for due, counts in dialogues.would_count(audio).items():
            played[what, due] += 1
            taken[what, due] += counts
    print("\nTalk and noise that would be read back or taken as an answer [%]")
    for what, due in sorted(played):
        n = played[what, due]
        print(f"{what:12} while {due:20} {n:5} {rate(taken[what, due], n)}")


def cost(dialogues: Dialogues) -> None:
    """Print what hearing costs on this machine."""
    spent = dialogues.decoding_s
    if not spent:
        return
    share = sum(s for s, _ in spent) / sum(length for _, length in spent)
    ordered = sorted(s for s, _ in spent)
    late = ordered[round(0.95 * (len(ordered) - 1))]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        "\nFrom the end of an utterance being noticed to its words [s of processor]: "
        f"median {statistics.median(ordered):.2f}, 95th percentile {late:.2f}\n"
        f"of a core while somebody speaks: {share:.2f}; memory of all this: {memory:.0f} MB"
    )


def main() -> None:
    """Play what was asked for and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="about ten minutes")
    parser.add_argument("--each", type=int, help="readings of a speaker at a level")
    parser.add_argument("--part", default="all", choices=("all", "readings", "talk"))
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
        if given.part != "readings":
            talk(dialogues, speakers, 16 * each, given.seed)
        if given.part != "talk":
            found = readings(dialogues, speakers, each, given.seed)
            report(found, speakers.people)
            raw_report(Raw(PocketsphinxEngine()), found, speakers.people)
        cost(dialogues)
        print(f"({each} readings a speaker and level, {RATE} samples a second)")
    finally:
        speakers.close()


if __name__ == "__main__":
    main()

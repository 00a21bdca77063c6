"""Many thousands of dialogues from a bank of sounds that were decoded once.

    .venv/bin/python tests/benchmarks/hearing_bank.py --seed 1 --digits FOLDER

Decoding is what takes the time, so every speaker says a few readings in every noise and
at every level, freely and one digit at a time, and the words of a yes and a no; what
the recogniser makes of each is kept. Then whole dialogues are played through the real
job and its policy: each time a person speaks, one of the bank's utterances of that
person, place and value is drawn. What comes out is a chance over the bank, so its bound
is given twice: for the dialogues, and for the bank's readings, of which there are far
fewer. Readings are dealt into a half to tune on and a half that is only looked at in the
end (``--half``).

``--flite PROGRAM`` adds speakers of another synthesiser, made from recordings of people;
``--keep FILE`` keeps the bank, ``--bank FILE ...`` takes it, or several.
"""

import argparse
import pickle
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from companion.job.facts import AnswerAccepted, AnswerDoubted, NumberAnswer
from companion.job.inputs import Begun
from companion.job.state import Job
from companion.shell.knowing import read_know
from companion.shell.translate import ear_vocabulary
from companion.shell.units import number_in, unit_of
from companion.shell.wording import read_wording
from speech import Number, Vocabulary, understand
from speech.decoding import NOTHING, Decoded
from speech.evidence import Evidence, judge
from speech.phrases import shipped_phrases
from speech.pocketsphinx_listener import PocketsphinxEngine
from tests.benchmarks.hearing_dialogue import (
    MOST_ASKINGS,
    OVERLOOKED,
    QUESTIONS,
    YES_OR_NO,
    YESES,
    Place,
    give_decoded,
)
from tests.benchmarks.hearing_figures import between, rate, upper
from tests.benchmarks.hearing_raw import Freely
from tests.benchmarks.hearing_sounds import (
    LEVELS,
    NOISES,
    Floats,
    Speakers,
    recorded,
    utterances,
)
from tests.conftest import SEA_LEVEL, SITES, Play, asked_key

DIGITS = Path("spoken-digits")
_FREELY = 2  # takes of a value said freely; digit by digit there is one
_WORDS = 2  # takes of a yes and a no in each place
_NOES_AND_YESES = ("affirmative", "negative")
_MOST_UTTERANCES = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One utterance and what came of it; the raw engine's meanings beside it."""

    form: str
    evidence: Evidence | None
    vocabulary: Vocabulary
    raw: tuple[str, ...] = ()

    @property
    def decoded(self) -> Decoded:
        """What the evidence comes to, with the weights and bounds as they are now."""
        if self.evidence is None:
            return NOTHING
        return _judged(self.evidence, self.vocabulary)


@cache
def _judged_once(key: int) -> Decoded:
    evidence, vocabulary = _JUDGED[key]
    return judge(evidence, vocabulary, shipped_phrases())


_JUDGED: dict[int, tuple[Evidence, Vocabulary]] = {}


def _judged(evidence: Evidence, vocabulary: Vocabulary) -> Decoded:
    """Judge each evidence once; drawing asks for it many times."""
    _JUDGED[id(evidence)] = evidence, vocabulary
    return _judged_once(id(evidence))


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One value that one speaker reads out in one place; sounds by how it is asked."""

    speaker: str
    kind: str
    place: Place
    key: str
    value: Decimal
    freely: tuple[Said, ...]
    by_digits: tuple[Said, ...]


@dataclass(slots=True, kw_only=True)
class Bank:
    """Everything that was decoded: readings, and yes and no by speaker and place."""

    entries: list[Entry] = field(default_factory=list)
    words: dict[tuple[str, Place, str], list[Said]] = field(default_factory=dict)

    @property
    def utterances(self) -> int:
        """How many utterances were decoded."""
        words = sum(map(len, self.words.values()))
        return words + sum(len(e.freely) + len(e.by_digits) for e in self.entries)


def places(number: int) -> tuple[Place, ...]:
    """Give where a speaker speaks: every level, the noises by turns."""
    noises = list(NOISES)
    return tuple(
        Place(noise=noises[(number + at) % len(noises)] if level else "", level=level)
        for at, level in enumerate(LEVELS)
    )


class Recorder:
    """Makes the bank."""

    def __init__(self, speakers: Speakers, start: Play, seed: int) -> None:
        self._speakers = speakers
        self._engine = PocketsphinxEngine()
        self._freely = Freely()
        self._seed = seed
        self._sounds = 0
        self._due = {key: _at(start, key) for key in QUESTIONS}

    def bank(self, each: int) -> Bank:
        """Decode ``each`` readings of every speaker in every place."""
        made = Bank()
        chance = random.Random(self._seed)  # noqa: S311 - seeded, to be repeated
        speakers = self._speakers
        everybody = (*speakers.voices, *speakers.others, *speakers.people)
        began = time.monotonic()
        for number, speaker in enumerate(everybody):
            for at, place in enumerate(places(number + self._seed)):
                for turn in range(each):
                    key = list(QUESTIONS)[(number + at + turn) % len(QUESTIONS)]
                    made.entries.append(self._entry(speaker, place, key, chance))
                self._yes_and_no(made, speaker, place)
            spent = time.monotonic() - began
            sys.stderr.write(f"  {number + 1} of {len(everybody)}, {spent:.0f} s\n")
        return made

    def _entry(
        self, speaker: str, place: Place, key: str, chance: random.Random
    ) -> Entry:
        value = Decimal(chance.randint(*QUESTIONS[key]))
        vocabulary = self._due[key]

        def takes(tries: int) -> tuple[Said, ...]:
            found = []
            for take in range(_FREELY if tries == 1 else 1):
                spoken = self._speakers.reading(speaker, value, tries, chance)
                found.append(
                    self._said(
                        spoken.sound,
                        spoken.form,
                        place,
                        vocabulary,
                        raw=tries == 1 and not take,
                    )
                )
            return tuple(found)

        return Entry(
            speaker=speaker,
            kind=self._speakers.kind(speaker),
            place=place,
            key=key,
            value=value,
            freely=takes(1),
            by_digits=takes(2),
        )

    def _yes_and_no(self, made: Bank, speaker: str, place: Place) -> None:
        for words in _NOES_AND_YESES:
            sound = self._speakers.say(speaker, words).sound
            made.words[speaker, place, words] = [
                self._said(sound, "", place, YES_OR_NO) for _ in range(_WORDS)
            ]

    def _said(
        self,
        sound: Floats,
        form: str,
        place: Place,
        vocabulary: Vocabulary,
        *,
        raw: bool = False,
    ) -> Said:
        self._sounds += 1
        audio = recorded(
            sound, place.noise, place.level, self._seed * 1_000_003 + self._sounds
        )
        found = [self._engine.evidence(e, vocabulary) for e in utterances(audio)]
        tried = [
            Said(form=form, evidence=each, vocabulary=vocabulary) for each in found
        ]
        told = [e for e in tried if e.decoded.words or e.decoded.guesses]
        evidence = told[0].evidence if told else found[0] if found else None
        beside: tuple[str, ...] = ()
        if raw:
            beside = (
                self._engine.one_decode(audio, vocabulary),
                self._freely.words(audio),
            )
        return Said(form=form, evidence=evidence, vocabulary=vocabulary, raw=beside)


def _at(start: Play, key: str) -> Vocabulary:
    job = job_at(start, key, known=False)
    return ear_vocabulary(job, start.know, start.wording)


def job_at(start: Play, key: str, *, known: bool) -> Job:
    """Give a job in which this question stands, of a voice that is known or new."""
    fresh = Play(start.know, start.wording)
    fresh.give(Begun(at=0.0, job="j1", ambient=SEA_LEVEL, known_voice=known))
    fresh.walk_to(SITES["liquid-pulses"], key)
    return fresh.job


@dataclass(frozen=True, slots=True, kw_only=True)
class Noes:
    """How the bank's noes were heard: as a clear yes, or as one that is asked for again."""

    said: int
    as_yes: int
    as_half: int

    @property
    def slip(self) -> float:
        """Chance that a wrong read-back gets a yes: overlooked, or its no misheard."""
        said = max(1, self.said)
        return OVERLOOKED + self.as_yes / said + (self.as_half / said) ** 2

    @property
    def worst_slip(self) -> float:
        """Bound of the same."""
        half = upper(self.as_half, self.said) / 100
        return OVERLOOKED + upper(self.as_yes, self.said) / 100 + half**2


@dataclass(slots=True, kw_only=True)
class Dialogue:
    """How one drawn dialogue went; ``chance_wrong`` is that a wrong value counted.

    Where a wrong value is read back, the dialogue goes on as if it was denied, and the
    chance that it was not is added up: overlooking, or the no being heard as yes.
    """

    entry: Entry
    form: str
    first: str = ""
    outcome: str = "keys"
    turns: int = 0
    chance_wrong: float = 0.0
    wrong_once: int = 0
    wrong_twice: int = 0


class Dialogues:
    """Draws dialogues from a bank and plays them through the real job."""

    def __init__(self, start: Play, bank: Bank, *, known: bool) -> None:
        self._start = start
        self._bank = bank
        self._jobs = {key: job_at(start, key, known=known) for key in QUESTIONS}
        noes = [
            d for (_, _, w), ds in bank.words.items() if w == "negative" for d in ds
        ]
        yeses = [each.decoded for each in noes if each.decoded.words in YESES]
        clear = sum(each.sure for each in yeses)
        self.noes = Noes(said=len(noes), as_yes=clear, as_half=len(yeses) - clear)

    def play(self, entry: Entry, chance: random.Random) -> Dialogue:
        """Play one dialogue to its end."""
        play = Play(self._start.know, self._start.wording, self._jobs[entry.key])
        first = chance.choice(entry.freely)
        result = Dialogue(entry=entry, form=first.form)
        others = [each for each in entry.freely if each is not first] or [first]
        while result.turns < _MOST_UTTERANCES:
            if play.job.pending is not None:
                self._answer(play, result, chance)
            else:
                tries = play.job.asked.tries if play.job.asked else 1
                if tries > MOST_ASKINGS:
                    break
                pool = entry.by_digits if tries == 2 else others
                said = first if not result.turns else chance.choice(pool)
                self._value(play, result, said.decoded)
            result.turns += 1
            if asked_key(play.job) != entry.key:
                taken = play.job.answers.get(entry.key)
                right = isinstance(taken, NumberAnswer) and self._right(taken, result)
                wrong = "control" if taken is None else "wrong"
                result.outcome = "right" if right else wrong
                break
        return result

    def _value(self, play: Play, result: Dialogue, decoded: Decoded) -> None:
        facts = give_decoded(play, decoded)
        doubted = next((f for f in facts if isinstance(f, AnswerDoubted)), None)
        fate = "asked again"
        if doubted is not None and isinstance(doubted.answer, NumberAnswer):
            right = self._right(doubted.answer, result)
            fate = "read-back right" if right else "read-back wrong"
            if not right:
                result.wrong_once += doubted.confirms == 1
                result.wrong_twice += doubted.confirms == 2
                result.chance_wrong += self.noes.slip**doubted.confirms
        elif any(isinstance(f, AnswerAccepted) for f in facts):
            fate = "right at once"
        result.first = result.first or fate

    def _answer(self, play: Play, result: Dialogue, chance: random.Random) -> None:
        pending = play.job.pending
        assert pending is not None
        assert isinstance(pending.answer, NumberAnswer)
        words = "affirmative" if self._right(pending.answer, result) else "negative"
        entry = result.entry
        pool = self._bank.words[entry.speaker, entry.place, words]
        heard = [each.decoded for each in pool]
        if words == "negative":
            heard = [each for each in heard if each.words not in YESES] or [NOTHING]
        give_decoded(play, chance.choice(heard))

    def _right(self, answer: NumberAnswer, result: Dialogue) -> bool:
        unit = unit_of(answer.amount.of, self._start.wording.system)
        return Decimal(number_in(answer.amount, unit)) == result.entry.value


def draw(
    dialogues: Dialogues, entries: list[Entry], count: int, seed: int
) -> list[Dialogue]:
    """Draw dialogues evenly over the entries."""
    chance = random.Random(seed)  # noqa: S311 - seeded, so that it can be repeated
    return [dialogues.play(entries[n % len(entries)], chance) for n in range(count)]


HEAD = (
    f"{'':26}{'bank':>5} {'drawn':>6} {'at once':>7} {'read back':>9} {'again':>6} "
    f"{'rb wrong':>8} {'settled within three':>22} {'turns':>6} {'wrong counted':>22}"
)


def row(name: str, found: list[Dialogue], noes: Noes) -> str:
    """Write one line; bounds are those of the bank's readings, not of the drawing."""
    n = len(found)
    bank = len({id(each.entry) for each in found})

    def first(fate: str) -> float:
        return 100 * sum(each.first == fate for each in found) / n

    settled = sum(each.outcome == "right" for each in found) / n
    turns = sum(each.turns for each in found) / n
    low, high = between(settled * bank, bank)
    wrong = 100 * sum(each.chance_wrong for each in found) / n
    return (
        f"{name:26}{bank:5} {n:6} {first('right at once'):7.1f} "
        f"{first('read-back right'):9.1f} {first('asked again'):6.1f} "
        f"{first('read-back wrong'):8.1f} "
        f"{f'{100 * settled:.1f} ({low:.1f} to {high:.1f})':>22} {turns:6.1f} "
        f"{f'{wrong:.4f} (<{wrong_bound(found, bank, noes):.4f})':>22}"
    )


def wrong_bound(found: list[Dialogue], bank: int, noes: Noes) -> float:
    """Bound the chance of a wrong value that counts [%].

    From the bounds of the bank: on wrong read-backs for one yes and for two, each as if
    its dialogues were as many as the bank's readings, and on noes heard as yes.
    """
    slip = noes.worst_slip
    share = bank / len(found)
    once = upper(sum(each.wrong_once for each in found) * share, bank)
    twice = upper(sum(each.wrong_twice for each in found) * share, bank)
    return once * slip + twice * slip**2


def report(title: str, found: list[Dialogue], noes: Noes) -> None:
    """Print every table."""

    def table(name: str, by: Callable[[Dialogue], str]) -> None:
        print(f"\n{title}: {name}\n{HEAD}")
        for value in sorted({by(each) for each in found}):
            print(row(value, [each for each in found if by(each) == value], noes))

    def loudness(each: Dialogue) -> str:
        return "5 dB" if each.entry.place.level == 5 else "10 dB up"

    table("by level", loudness)
    table("by kind of speaker", lambda e: f"{e.entry.kind}, {loudness(e)}")
    table("by noise and level", lambda e: e.entry.place.name)
    table("by speaker", lambda e: e.entry.speaker)
    table("by spoken form, 10 dB up", lambda e: f"{e.form}, {loudness(e)}")
    for loud in ("10 dB up", "5 dB"):
        those = [each for each in found if loudness(each) == loud]
        fates = Counter(each.outcome for each in those)
        out = 100 * (fates["right"] + fates["keys"]) / max(1, len(those))
        print(
            f"\n{title}, {loud}: right, or by keys and buttons after three askings "
            f"{out:.1f} %; taken for a control {fates['control']}, wrong without a "
            f"read-back {fates['wrong']}, of {len(those)}"
        )


def raw_report(entries: Iterable[Entry]) -> None:
    """Print what the engine alone makes of each reading's first utterance."""
    print("\nThe raw engine on the first utterance of every reading of the bank [%]")
    print(f"{'':44}{'n':>5} {'right':>15} {'rejected':>15} {'wrong':>15}")
    some = list(entries)
    for kind in sorted({each.kind for each in some}):
        for loud in ("10 dB up", "5 dB"):
            those = [
                each
                for each in some
                if each.kind == kind and (each.place.level == 5) == (loud == "5 dB")
            ]
            for at, path in enumerate(("grammar", "open vocabulary")):
                fates = [_raw_fate(each, at) for each in those]
                n = len(fates)
                print(
                    f"{f'{kind}, {loud}, {path}':44}{n:5} "
                    f"{rate(fates.count('right'), n):>15} "
                    f"{rate(fates.count('rejected'), n):>15} "
                    f"{rate(fates.count('wrong'), n):>15}"
                )


def _raw_fate(entry: Entry, path: int) -> str:
    meaning = understand(entry.freely[0].raw[path], entry.freely[0].vocabulary)
    if not isinstance(meaning, Number):
        return "rejected"
    return "right" if meaning.value == entry.value else "wrong"


def joined(paths: Iterable[Path]) -> Bank:
    """Put banks that were kept into one."""
    whole = Bank()
    for path in paths:
        one: Bank = pickle.loads(path.read_bytes())  # noqa: S301 - our own file
        whole.entries += one.entries
        for key, said in one.words.items():
            whole.words.setdefault(key, []).extend(said)
    return whole


def halves(entries: list[Entry]) -> dict[str, list[Entry]]:
    """Deal the readings out: one half to tune on, one only to be looked at."""
    dealt: dict[str, list[Entry]] = {"tuning": [], "held": []}
    for number, each in enumerate(entries):
        dealt["held" if number % 2 else "tuning"].append(each)
    return dealt


def main() -> None:
    """Make or take the bank, draw, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--each", type=int, default=2, help="readings a place")
    parser.add_argument("--count", type=int, default=20_000, help="dialogues drawn")
    parser.add_argument("--half", default="held", choices=("tuning", "held", "all"))
    parser.add_argument("--digits", type=Path, default=DIGITS)
    parser.add_argument(
        "--flite", default="", help="a program that speaks as flite does"
    )
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--bank", type=Path, nargs="*", help="kept before")
    given = parser.parse_args()
    start = Play(read_know(), read_wording("us"))
    if given.bank:
        bank = joined(given.bank)
    else:
        digits = given.digits if given.digits.is_dir() else None
        speakers = Speakers(digits, given.flite)
        try:
            bank = Recorder(speakers, start, given.seed).bank(given.each)
        finally:
            speakers.close()
    if given.keep:
        given.keep.write_bytes(pickle.dumps(bank))
    entries = bank.entries if given.half == "all" else halves(bank.entries)[given.half]
    print(
        f"Dialogues are drawn from a bank of {bank.utterances} decoded utterances: "
        f"{len(bank.entries)} readings of {len({e.speaker for e in bank.entries})} "
        f"speakers in a quiet room and at four levels of noise, and their yes and no; here from the "
        f"{len(entries)} readings of: {given.half}.\nThe first four rates are what became "
        "of the first utterance [%]; settled: the right value\ncounted within "
        f"{MOST_ASKINGS} askings [%], the rest goes to the keys or buttons; wrong counted: "
        "chance [%] that a\nwrong value counted, one wrong read-back in a hundred being "
        "overlooked. Bounds are 95 %\n(Wilson) over the bank's readings."
    )
    for title, known in (("new voice", False), ("known voice", True)):
        dialogues = Dialogues(start, bank, known=known)
        noes = dialogues.noes
        bound = upper(noes.as_yes, noes.said)
        print(
            f"\nof {noes.said} noes {noes.as_yes} heard as a clear yes (<{bound:.2f} %), "
            f"{noes.as_half} as one that is asked for once more"
        )
        report(title, draw(dialogues, entries, given.count, given.seed), noes)
    raw_report(entries)


if __name__ == "__main__":
    main()

"""Whether what the companion says can be told apart in noise: a stand-in for a listener.

    .venv/bin/python tests/benchmarks/intelligible.py --seed 1

Every sentence that the typed rehearsals say, every fixed cue and question and a row of
read-backs are spoken in fan noise. The bundled engine then has to find each among all of
them, as a technician does who knows the companion; read-backs stand among their
neighbours, which differ by one digit. Sentences that differ by numbers alone count once.
What is taken for another sentence is listed. Beside it stands how many of its words the
engine finds with its open vocabulary, which knows nothing of the trade.
"""

import argparse
import re
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from companion.job.amounts import amount
from companion.job.outputs import Say
from companion.knowledge.quantities import GaugePressure, Mass, Temperature
from companion.shell.knowing import read_know
from companion.shell.rehearsal.run import rehearse
from companion.shell.rehearsal.scenario import read_scenario, scenario_names
from companion.shell.rehearsal.world import SilentMouth
from companion.shell.wording import Wording, read_wording
from speech import number_forms
from speech.sound import Samples
from speech.words import DIGITS, tokens
from tests.benchmarks.hearing_figures import rate
from tests.benchmarks.hearing_raw import Freely, decoded, decoder
from tests.benchmarks.hearing_sounds import Speakers, recorded

LEVELS = (20.0, 10.0)
"""Speech over fan noise [dB, A-weighted] in the technician's ear."""
SPELT = {
    "subcooling": "sub cooling",
    "superheat": "super heat",
    "nameplate": "name plate",
    "microchannel": "micro channel",
    "cylinder's": "cylinders",
    "valve's": "valves",
    "pump's": "pumps",
}
"""Words of the trade that the engine's dictionary has in parts only."""
_FIGURES = re.compile(r"[0-9]+(\.[0-9]+)?")
_NUMBER = re.compile(rf"\b({'|'.join(DIGITS)}|[0-9.]+)\b")


class RecordingMouth(SilentMouth):
    """Says nothing, and keeps what it would have said."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, at: float, speech: str) -> float:
        """Keep a sentence."""
        self.said.append(speech)
        return super().say(at, speech)


def rehearsed(wording: Wording) -> list[str]:
    """Give everything that the rehearsals say."""
    know, mouth = read_know(), RecordingMouth()
    for name in scenario_names():
        with tempfile.TemporaryDirectory() as folder:
            rehearse(
                read_scenario(name),
                know=know,
                wording=wording,
                seed=1,
                folder=Path(folder),
                mouth=mouth,
            )
    return mouth.said


def read_backs(wording: Wording) -> list[str]:
    """Give a read-back of every kind of value there is."""
    values = {
        "suction-pressure": amount(GaugePressure.from_psi(118)),
        "liquid-pressure": amount(GaugePressure.from_psi(342)),
        "suction-line-temperature": amount(Temperature.from_f(56)),
        "liquid-line-temperature": amount(Temperature.from_f(97)),
        "outdoor-temperature": amount(Temperature.from_f(94)),
        "cylinder-weight": amount(Mass.from_oz(275)),
        "unit-refrigerant": "R-410A",
        "cylinder-refrigerant": "R-407C",
    }
    says = (
        Say(cue="read-back", values={"key": key, "answer": value})
        for key, value in values.items()
    )
    return [wording.line(each).speech for each in says]


def sentences(wording: Wording) -> list[str]:
    """Give every sentence once, of those that differ by numbers alone the first."""
    fixed = [line for line in wording.tables.cues.values() if "{" not in line]
    asked = [line for line in wording.tables.questions.values() if "{" not in line]
    found: dict[str, str] = {}
    for line in (*fixed, *asked, *read_backs(wording), *rehearsed(wording)):
        if tokens(line):
            found.setdefault(_NUMBER.sub("#", " ".join(tokens(line))), line)
    return list(found.values())


def neighbours(line: str) -> Iterator[str]:
    """Give the words of a sentence with each digit replaced by each other digit."""
    said = list(tokens(line))
    for at, word in enumerate(said):
        for other in DIGITS if word in DIGITS else ():
            if other != word:
                yield " ".join([*said[:at], other, *said[at + 1 :]])


class Among:
    """The engine with nothing to choose from but these sentences."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._decoder = decoder(lm=None, lw=1.0, bestpath=False)
        phrases = [each for line in lines for each in (spelt(line), *_near(line))]
        self.unknown = Counter(
            word
            for each in phrases
            for word in each.split()
            if self._decoder.lookup_word(word) is None
        )
        known = [e for e in phrases if not set(e.split()) & set(self.unknown)]
        listed = " | ".join(dict.fromkeys(known))
        self._decoder.add_jsgf_string(
            "among", f"#JSGF V1.0;\ngrammar among;\npublic <said> = {listed};"
        )
        self._decoder.activate_search("among")

    def found(self, sound: Samples) -> str:
        """Give the sentence that a sound is taken for, or ""."""
        return decoded(self._decoder, sound)


def spelt(line: str) -> str:
    """Give the words of a sentence as they are spoken and as the dictionary has them."""
    spoken = _FIGURES.sub(lambda found: number_forms(Decimal(found[0]))[0], line)
    return " ".join(SPELT.get(word, word) for word in tokens(spoken))


def _near(line: str) -> list[str]:
    asks = "affirmative or negative" in " ".join(tokens(line))
    return list(neighbours(line)) if asks else []


def main() -> None:
    """Say all of it and print what was taken for something else."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--every", type=int, default=1, help="only every so-manieth sentence"
    )
    given = parser.parse_args()
    lines = sentences(read_wording("us"))
    among, freely, speakers = Among(lines), Freely(), Speakers(None)
    if among.unknown:
        print(f"not in the dictionary, left out with their sentences: {among.unknown}")
    some = [
        line
        for line in lines[:: given.every]
        if not set(spelt(line).split()) & set(among.unknown)
    ]
    print(f"{len(some)} sentences, each to be found among {len(lines)} and neighbours")
    try:
        for level in LEVELS:
            right, shares = 0, []
            for at, line in enumerate(some):
                said = speakers.companion(line)
                sound = recorded(said, "fan", level, given.seed + at)
                found = among.found(sound)
                right += found == spelt(line)
                if found != spelt(line):
                    print(f"  {level:.0f} dB  {line}\n         {found!r}", flush=True)
                words = Counter(spelt(line).split())
                heard = Counter(freely.words(sound).split())
                shares.append(sum((words & heard).values()) / sum(words.values()))
            print(
                f"{level:.0f} dB: found {rate(right, len(some))} %; open vocabulary: "
                f"{sum(shares) / len(shares):.0%} of the words",
                flush=True,
            )
    finally:
        speakers.close()


if __name__ == "__main__":
    main()

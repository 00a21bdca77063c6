"""From the end of speech to the first sample of the answer, and what listening costs.

    .venv/bin/python tests/benchmarks/answering.py --seed 1 --rounds 30

A suction pressure is asked for. A technician's voice over fan noise goes into both ears,
at the pace of a microphone; what is heard goes through the real job, and its answer
through the real voice and speaker to a program that stands for the sound card's and
notes when the first sample arrives. The time runs from the last sample of the spoken
words, so the half second by which the ear knows that somebody has ended is in it. Then
a quiet stretch and a stretch with speech are fed and the processors' time of all our
processes is counted, with their memory.
"""

import argparse
import os
import queue
import random
import sys
import tempfile
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from companion.job.listening import expected_now
from companion.job.outputs import Say
from companion.shell.fixed_cues import fixed_sentences
from companion.shell.knowing import read_know
from companion.shell.rehearsal.noise import fan_noise
from companion.shell.translate import ear_vocabulary
from companion.shell.translate import heard as understood_sound
from companion.shell.wording import read_wording
from speech import Heard
from speech.decoding import EngineChoice
from speech.engine_process import EngineProcess
from speech.keywords import KeywordListener
from speech.microphone import CHUNK
from speech.sound import RATE, Samples, to_samples
from speech.stream_listener import StreamListener
from tests.benchmarks.cutting import Bench, show
from tests.benchmarks.hearing_bank import job_at
from tests.benchmarks.hearing_sounds import LEAD_S, SPEECH_RMS, Speakers, recorded
from tests.conftest import Play

KEY = "suction-pressure@0"
_AFTER_S = 2.0


class Ears:
    """Both ears with their processes, fed at the pace of a microphone."""

    def __init__(self) -> None:
        self.woken: queue.Queue[None] = queue.Queue()
        choice = EngineChoice(engine="pocketsphinx")

        def ready() -> None:
            self.woken.put(None)

        self.engines = (EngineProcess(choice, ready), EngineProcess(choice, ready))
        self.dialogue = StreamListener(self.engines[0])
        self.keywords = KeywordListener(self.engines[1])

    def feed(self, sound: Samples, taken: Callable[[Heard], None]) -> float:
        """Feed a sound as time goes by; give when its first sample was due."""
        began = time.monotonic()
        for at in range(0, len(sound), CHUNK):
            while (left := began + (at + CHUNK) / RATE - time.monotonic()) > 0:
                try:
                    self.woken.get(timeout=left)
                except queue.Empty:
                    break
                self._take(taken)
            chunk = sound[at : at + CHUNK]
            self.dialogue.feed(chunk)
            self.keywords.feed(chunk)
            self._take(taken)
        return began

    def _take(self, taken: Callable[[Heard], None]) -> None:
        self.keywords.poll()
        for each in self.dialogue.poll():
            if isinstance(each, Heard):
                taken(each)

    def close(self) -> None:
        """End both processes."""
        self.dialogue.close()
        self.keywords.close()


def ours(bench: Bench, ears: Ears) -> dict[str, int]:
    """Give the numbers of our processes by what they do."""
    found = {"program": os.getpid(), "voice": bench.voice.process_id or 0}
    for name, engine in zip(("ear", "stop ear"), ears.engines, strict=True):
        found[name] = engine.process_id or 0
    return {name: pid for name, pid in found.items() if pid}


def spent_s(pid: int) -> float:
    """Give the processor's time of a process so far [s]."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(") ")[2]
    user, system = map(int, fields.split()[11:13])
    return (user + system) / os.sysconf("SC_CLK_TCK")


def memory_mb(pid: int) -> float:
    """Give the memory of a process that no other shares, where it is told [MB]."""
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="utf-8").splitlines()
    private = (line.split()[1] for line in lines if line.startswith("Private_"))
    return sum(map(int, private)) / 1024


def rounds(
    play: Play, bench: Bench, ears: Ears, speakers: Speakers, count: int, seed: int
) -> None:
    """Say readings and print how long the answers took."""
    chance = random.Random(seed)  # noqa: S311 - seeded, so that it can be repeated
    names = play.know.knowledge.catalogue.designations
    start = play.job
    to_words: list[float] = []
    to_sound: list[float] = []
    ears.dialogue.expect(ear_vocabulary(start, play.know, play.wording))
    for number in range(count):
        speaker = chance.choice(speakers.voices)
        said = speakers.reading(speaker, Decimal(chance.randint(70, 160)), 1, chance)
        # The noise goes on until the answer must have come.
        after = fan_noise(_AFTER_S, seed) * (SPEECH_RMS / 10 ** (15 / 20))
        sound = recorded(said.sound, "fan", 15, seed + number)
        sound = np.concatenate((sound, to_samples(after)))
        audible = np.flatnonzero(np.abs(said.sound) > 0.02 * np.abs(said.sound).max())
        arrived: list[float] = []
        before = len(bench.starts())
        talk = Play(play.know, play.wording, start)

        def answer(
            found: Heard, talk: Play = talk, arrived: list[float] = arrived
        ) -> None:
            if arrived:
                return
            arrived.append(time.monotonic())
            expects = expected_now(talk.job)
            event = understood_sound(talk.at + 1, found, expects, talk.wording, names)
            for output in talk.give(event).outputs:
                if isinstance(output, Say):
                    bench.speaker.say(talk.wording.line(output).speech)

        began = ears.feed(sound, answer)
        if not arrived:
            continue
        ended = began + LEAD_S + audible[-1] / RATE
        to_words.append(arrived[0] - ended)
        to_sound.append(bench.wait_for(before + 1)[0] - ended)
        bench.speaker.hush()
        bench.speaker.settle()
    show("end of speech to the words", to_words)
    show("end of speech to the answer's first sample", to_sound)


def cost(bench: Bench, ears: Ears, speakers: Speakers, seed: int) -> None:
    """Print the share of a core while listening, and the memory."""
    quiet = recorded(speakers.say(speakers.voices[0], "no").sound[:1], "fan", 15, seed)
    spoken = recorded(
        speakers.say(speakers.voices[0], "one hundred eighteen").sound, "fan", 15, seed
    )
    everything = ours(bench, ears)
    for name, sound in (("nobody speaks", quiet), ("somebody speaks", spoken)):
        before = {each: spent_s(pid) for each, pid in everything.items()}
        began = time.monotonic()
        for _ in range(6):
            ears.feed(sound, lambda _: None)
        while ears.dialogue.pending or ears.keywords.pending:
            ears.dialogue.poll()
            ears.keywords.poll()
            time.sleep(0.01)
        length = time.monotonic() - began
        shares = {
            each: (spent_s(pid) - before[each]) / length
            for each, pid in everything.items()
        }
        parts = ", ".join(f"{each} {share:.3f}" for each, share in shares.items())
        print(
            f"of a core while {name} ({length:.0f} s): {sum(shares.values()):.3f} ({parts})"
        )
    memory = {each: memory_mb(pid) for each, pid in everything.items()}
    parts = ", ".join(f"{each} {mb:.0f}" for each, mb in memory.items())
    print(f"memory of their own [MB]: {sum(memory.values()):.0f} ({parts})")


def main() -> None:
    """Run the rounds and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=30)
    given = parser.parse_args()
    start = Play(read_know(), read_wording("us"))
    start.job = job_at(start, KEY, known=False)
    speakers = Speakers(None)
    with tempfile.TemporaryDirectory() as folder:
        bench, ears = Bench(Path(folder)), Ears()
        try:
            bench.voice.prepare(fixed_sentences(start.wording, start.know))
            ears.feed(
                recorded(speakers.say("voice 1", "zero").sound, "fan", 15, 1), print
            )
            rounds(start, bench, ears, speakers, given.rounds, given.seed)
            cost(bench, ears, speakers, given.seed)
        finally:
            ears.close()
            bench.close()
            speakers.close()


if __name__ == "__main__":
    main()

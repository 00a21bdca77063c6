"""One reading from the question to the end: the real job, the real ear, a simulated person.

The person looks at a gauge, says the value, listens to the read-back and answers yes or
no, in the same voice and noise, through the same recogniser. One wrong read-back in a
hundred is overlooked.
"""

import random
import time
from dataclasses import dataclass, field
from decimal import Decimal

from companion.job.amounts import Amount
from companion.job.facts import AnswerAccepted, AnswerDoubted, NumberAnswer
from companion.job.listening import expected_now
from companion.job.state import Job
from companion.shell.translate import ear_vocabulary
from companion.shell.translate import heard as understood_sound
from companion.shell.units import number_in, unit_of
from speech import Heard, Vocabulary
from speech.decoding import NOTHING, Decoded, Engine
from speech.sound import RATE, Samples
from tests.benchmarks.hearing_sounds import Floats, Speakers, recorded, utterances
from tests.conftest import SITES, Play, asked_key

OVERLOOKED = 0.01
"""Share of wrong read-backs that the simulated person lets pass."""
MOST_ASKINGS = 3
_MOST_UTTERANCES = 12

YES_OR_NO = Vocabulary(
    controls=("yes", "no", "stop", "close", "again", "why", "back", "status", "help")
)
YESES = ("affirmative", "yes", "correct")

QUESTIONS: dict[str, tuple[int, int]] = {
    "suction-pressure@0": (70, 165),
    "liquid-pressure@0": (230, 420),
    "suction-line-temperature@0": (40, 80),
    "liquid-line-temperature@0": (80, 115),
    "cylinder-weight#0": (150, 480),
    "outdoor-temperature": (60, 110),
}
"""What is asked, and from where to where the value lies: R-410A, running, summer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """In which noise it is said; ``level`` as in ``hearing_sounds.LEVELS``."""

    noise: str
    level: float | None

    @property
    def name(self) -> str:
        """How it is called in a table."""
        return "quiet" if self.level is None else f"{self.noise} {self.level:.0f} dB"


@dataclass(slots=True)
class Reading:
    """How one reading went.

    ``first`` is what became of the first utterance: ``read-back right``,
    ``read-back wrong`` or ``asked again``. ``wrong_once`` and ``wrong_twice`` count wrong
    values that were read back for one yes and for two; ``noes`` how often no was said,
    ``noes_misheard`` how often it was heard as a clear yes.
    """

    speaker: str
    place: Place
    form: str
    value: Decimal
    first: str = ""
    outcome: str = "way out"
    askings: int = 1
    utterances: int = 0
    wrong_once: int = 0
    wrong_twice: int = 0
    noes: int = 0
    noes_misheard: int = 0
    first_sound: Samples | None = field(default=None, repr=False)
    vocabulary: Vocabulary | None = field(default=None, repr=False)


class Dialogues:
    """Plays readings; everything of them comes from the seed."""

    def __init__(
        self, play: Play, engine: Engine, speakers: Speakers, seed: int
    ) -> None:
        self._start = play
        self._engine = engine
        self._speakers = speakers
        self._seed = seed
        self._jobs: dict[str, Job] = {}
        self._sounds = 0
        self.decoding_s: list[tuple[float, float]] = []

    def _at(self, key: str) -> Play:
        """Give a job in which this question stands."""
        if key not in self._jobs:
            fresh = Play(self._start.know, self._start.wording)
            fresh.begin()
            fresh.walk_to(SITES["liquid-pulses"], key)
            self._jobs[key] = fresh.job
        return Play(self._start.know, self._start.wording, self._jobs[key])

    def reading(self, speaker: str, place: Place, chance: random.Random) -> Reading:
        """Play one reading to its end."""
        key = chance.choice(list(QUESTIONS))
        value = Decimal(chance.randint(*QUESTIONS[key]))
        play = self._at(key)
        said = self._speakers.reading(speaker, value, 1, chance)
        result = Reading(speaker=speaker, place=place, form=said.form, value=value)
        for _ in range(_MOST_UTTERANCES):
            if play.job.pending is not None:
                self._answer(play, result, value, speaker, place, chance)
            else:
                tries = play.job.asked.tries if play.job.asked else 1
                if tries > MOST_ASKINGS:
                    break
                result.askings = tries
                if result.utterances:
                    said = self._speakers.reading(speaker, value, tries, chance)
                self._say_value(play, result, said.sound, place)
            if asked_key(play.job) != key:
                taken = play.job.answers.get(key)
                if isinstance(taken, NumberAnswer):
                    right = self._shown(taken.amount, play) == value
                    result.outcome = "right" if right else "wrong"
                    break
                result.outcome = "taken for a control"
                break
        return result

    def would_count(self, audio: Samples) -> dict[str, bool]:
        """Tell, for a value and for a yes that are due, whether a sound would count."""
        play = self._at("suction-pressure@0")
        decoded = self.hear(audio, ear_vocabulary(play.job, play.know, play.wording))
        facts = give_decoded(play, decoded)
        value = any(isinstance(f, AnswerDoubted | AnswerAccepted) for f in facts)
        answer = self.hear(audio, YES_OR_NO)
        yes = answer.sure and answer.words in YESES
        return {"a value is due": value, "a yes is due": yes}

    def _say_value(
        self, play: Play, result: Reading, sound: Floats, place: Place
    ) -> None:
        audio = self._recorded(sound, place)
        vocabulary = ear_vocabulary(play.job, play.know, play.wording)
        if not result.utterances:
            result.first_sound, result.vocabulary = audio, vocabulary
        decoded = self.hear(audio, vocabulary)
        facts = give_decoded(play, decoded)
        doubted = next((f for f in facts if isinstance(f, AnswerDoubted)), None)
        fate = "asked again"
        if doubted is not None and isinstance(doubted.answer, NumberAnswer):
            right = self._shown(doubted.answer.amount, play) == result.value
            fate = "read-back right" if right else "read-back wrong"
            if not right:
                result.wrong_once += doubted.confirms == 1
                result.wrong_twice += doubted.confirms == 2
        elif any(isinstance(f, AnswerAccepted) for f in facts):
            fate = "right at once"
        if not result.utterances:
            result.first = fate
        result.utterances += 1

    def _answer(
        self,
        play: Play,
        result: Reading,
        value: Decimal,
        speaker: str,
        place: Place,
        chance: random.Random,
    ) -> None:
        pending = play.job.pending
        assert pending is not None
        assert isinstance(pending.answer, NumberAnswer)
        right = self._shown(pending.answer.amount, play) == value
        agrees = right or chance.random() < OVERLOOKED
        words = "affirmative" if agrees else "negative"
        said = self._speakers.say(speaker, words)
        audio = self._recorded(said.sound, place)
        vocabulary = ear_vocabulary(play.job, play.know, play.wording)
        decoded = self.hear(audio, vocabulary)
        result.noes += not agrees
        if not agrees and decoded.words in YESES and decoded.sure:
            result.noes_misheard += 1
        give_decoded(play, decoded)
        result.utterances += 1

    def _recorded(self, sound: Floats, place: Place) -> Samples:
        self._sounds += 1
        return recorded(
            sound, place.noise, place.level, self._seed * 100_003 + self._sounds
        )

    def hear(self, audio: Samples, vocabulary: Vocabulary) -> Decoded:
        """Give what the recogniser makes of the first utterance with anything in it."""
        found: list[Decoded] = []
        for each in utterances(audio):
            began = time.process_time()
            found.append(self._engine.decode(each, vocabulary))
            spent = time.process_time() - began
            self.decoding_s.append((spent, len(each.samples) / RATE))
        told = [each for each in found if each.words or each.guesses]
        return told[0] if told else found[0] if found else NOTHING

    def _shown(self, value: Amount, play: Play) -> Decimal:
        return Decimal(number_in(value, unit_of(value.of, play.wording.system)))


def give_decoded(play: Play, decoded: Decoded) -> tuple[object, ...]:
    """Give a job what was decoded, as the companion hears it; the facts that came."""
    sound = Heard(
        words=decoded.words,
        confidence=decoded.confidence,
        sure=decoded.sure,
        engine="pocketsphinx",
        begin=0,
        end=0,
        guesses=decoded.guesses,
        rest=decoded.rest,
    )
    names = play.know.knowledge.catalogue.designations
    event = understood_sound(
        play.at + 1.0, sound, expected_now(play.job), play.wording, names
    )
    return play.give(event).facts

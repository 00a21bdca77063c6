"""A simulated technician: hears what is asked, looks at the site, acts and answers.

They know only what a person on the site would: the nameplates, the gauges, and what
the companion says. What they mean and what they say are kept apart, so that a rehearsal
can tell afterwards whether the companion took a reading as it was meant.
"""

import random  # noqa: TID251 - seeded, so that a rehearsal can be repeated
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import assert_never

from companion.job.amounts import Amount, amount
from companion.job.facts import NameAnswer, NumberAnswer, OptionAnswer
from companion.job.outputs import Say
from companion.job.questions import base_key
from companion.job.state import Job
from companion.knowledge.quantities import (
    GaugePressure,
    Mass,
    Quantity,
    Temperature,
    TemperatureDifference,
)
from companion.shell.rehearsal.scenario import Scenario
from companion.shell.rehearsal.tongues import ANSWERS, interjection
from companion.shell.rig.hand import Hand, Hint
from companion.shell.rig.readings import Reader
from companion.shell.rig.rig import Rig
from companion.shell.units import number_in, unit_of
from companion.shell.wording import Wording
from speech import Language

_HINTS: Mapping[str, Hint] = {"less": "less", "more": "more", "double": "double"}
"""What the companion says of how far to open, as the hand takes it."""

_CALL_OUT_S = (2.5, 4.0)
_PRESSES_AFTER = 4
"""A technician whose value is not understood this often enters it with the buttons, which
the companion has offered by then."""
_GIVES_UP_AFTER = 8
"""A technician whose value is not taken this often stops, and ends the job."""


def _still_closing(cue: str) -> bool:
    """Tell whether the companion has not yet heard that the valve is shut."""
    return cue.startswith("close-") or cue == "closed-again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """Something the technician will do: say words, or nothing but ``then``."""

    at: float
    words: str = ""


class Technician:
    """One simulated technician on one simulated site."""

    def __init__(
        self, scenario: Scenario, rig: Rig, wording: Wording, seed: int
    ) -> None:
        self._random = random.Random(f"technician {seed}")  # noqa: S311 - see above
        self._scenario = scenario
        self._rig = rig
        self._wording = wording
        self._language = wording.language
        self._words = ANSWERS[self._language.id]
        self._hand = Hand(seed=seed)
        self._reader = Reader(
            seed=seed, misreads=scenario.technician.misreads, lost=0.0
        )
        self._interjections = {
            key: interjection(words, self._language)
            for key, words in scenario.interjections.items()
        }
        self._silent_at = set(scenario.technician.silent_at)
        self._steps = {key: list(found) for key, found in scenario.steps.items()}
        self._tries: dict[str, int] = {}
        self._act: Act | None = None
        self._call_out_at: float | None = None
        self._call_weight = False
        self._report_at: float | None = None
        self._closing = False
        self._given_up = False
        self._throttled = True
        self._sized: float | None = None
        self._stop_oz: float | None = None
        self.meant: dict[str, Amount | str] = {}

    # --- what reaches the technician's ear

    def hear(self, cue: Say, at: float, ends_at: float) -> None:
        """Understand a sentence at ``at`` that goes on until ``ends_at``."""
        stop = cue.values.get("stop")
        if isinstance(stop, Amount):
            self._stop_oz = Mass(stop.si).oz
        if cue.cue == "open-now":
            self._open(at, str(cue.values["hint"]))
        elif cue.cue == "ease-off":
            self._hand.ease(at)
        elif cue.cue == "open-more":
            self._hand.open("more", at)
        elif cue.cue.startswith("close-") and not self._closing:
            self._close(at)
        elif _still_closing(cue.cue) and self._report_at is None:
            # The valve is closed and the companion has not heard it: say it again.
            self._report_at = ends_at + 0.5 + self._random.uniform(0.2, 0.5)

    def _open(self, at: float, hint: str) -> None:
        self._closing = False
        self._sized = None if self._throttled else at + self._hand.mean_delay_s
        if self._throttled:
            told = _HINTS.get(hint, "crack")
            turns = self._hand.open(told, at, slow_turn=hint == "slow")
            at = turns[0].at
        else:
            at += self._hand.mean_delay_s
        self._act = Act(at=at + 0.6, words=self._words["opened"])
        self._call_out_at = at + self._gap() + 1.5

    def _close(self, at: float) -> None:
        self._closing = True
        self._call_out_at = None
        self._sized = None
        turns = self._hand.close(at)
        self._report_at = turns[-1].at + 0.6 if turns else None

    def _gap(self) -> float:
        return self._random.uniform(*_CALL_OUT_S)

    def ask(self, expectation: str, job: Job, at: float) -> None:
        """Be asked something, the question ending at ``at``."""
        delay = self._random.uniform(0.6, 1.6)
        if expectation == "valve-closed":
            return
        if expectation in ("open-suction", "open-weight"):
            self._call_weight = expectation == "open-weight"
            return
        words = self._answer(expectation, job)
        if words:
            self._act = Act(at=at + delay, words=words)

    def presses_now(self, job: Job) -> bool:
        """Tell whether the buttons are used for what is asked, speech being in vain."""
        tries = 0 if job.asked is None else self._tries.get(job.asked.key, 0)
        return self._given_up or tries > _PRESSES_AFTER

    # --- time

    def tick(self, at: float) -> str:
        """Move hands and eyes on; give the words that are begun now, or nothing."""
        opening = self._hand.opening(at, self._rig.gauges().suction_psig)
        if self._sized is not None and at >= self._sized:
            opening = self._weigh_in_opening()
        self._rig.turn_valve(opening)
        if self._report_at is not None and at >= self._report_at:
            self._report_at = None
            self._act = None
            return self._words["closed"]
        if self._act is not None and at >= self._act.at:
            words, self._act = self._act.words, None
            return words
        if self._call_out_at is not None and at >= self._call_out_at:
            self._call_out_at = at + self._gap() + 1.5
            return self._call_out()
        return ""

    def _weigh_in_opening(self) -> float:
        """Open well while much is missing, a crack when the weight is near."""
        near = self._stop_oz is None or self._rig.gauges().scale_oz - self._stop_oz < 20
        return 0.08 if near else 0.35

    def _call_out(self) -> str:
        gauges = self._rig.gauges()
        if self._call_weight:
            value: Quantity = Mass.from_oz(
                round(self._reader.scale_oz(gauges.scale_oz))
            )
        else:
            seen = self._reader.reading(gauges.suction_psig, item="suction")
            value = GaugePressure.from_psi(seen.said)
        return self._number(amount(value), tries=1)

    # --- answers

    def _answer(self, expectation: str, job: Job) -> str:  # noqa: C901 - one match
        key = job.asked.key if job.asked is not None else ""
        if key in self._silent_at:
            self._silent_at.discard(key)
            return ""
        if base_key(key) in self._interjections:
            return self._interjections.pop(base_key(key))
        if expectation == "read-back":
            return self._confirm(job)
        tries = self._tries[key] = self._tries.get(key, 0) + 1
        match expectation:
            case "done" if key == "method-agreed":
                self._place_cylinder(job)
                return self._words["done"]
            case "done":
                return self._words["done"]
            case "ready":
                self._throttled = self._is_throttled(job)
                return self._words["ready"]
            case "halted":
                if self._given_up or tries > _GIVES_UP_AFTER:
                    return self._words["finish"]
                return self._words["continue"]
            case "waiting" | "nothing":
                return ""
            case "yes-no" if "/" in key:
                return self._words[self._step(key)]
            case "yes-no":
                return self._words[self._yes_or_no(key)]
            case _:
                return self._value(key, tries)

    def _confirm(self, job: Job) -> str:
        pending = job.pending
        if pending is None:
            return ""
        meant = self.meant.get(pending.key)
        match pending.answer:
            case NumberAnswer(amount=taken):
                same = isinstance(meant, Amount) and self._shown(meant) == self._shown(
                    taken
                )
            case NameAnswer(designation=taken_name):
                same = meant == taken_name
            case OptionAnswer(option=taken_option):
                same = meant == taken_option
            case _:
                assert_never(pending.answer)
        return self._words["yes" if same else "no"]

    def _shown(self, value: Amount) -> str:
        return number_in(value, unit_of(value.of, self._wording.system))

    def _step(self, key: str) -> str:
        planned = self._steps.get(key)
        if planned:
            return planned.pop(0)
        return self.good_answers.get(key, "yes")

    good_answers: Mapping[str, str] = {}
    """The good answer of each checklist question, set by the rehearsal."""

    def _yes_or_no(self, key: str) -> str:
        known = base_key(key)
        if known == "cylinder-valve-shut":
            self._rig.set_cylinder_valve(False)
            return "yes"
        if known == "cylinder-valve-open":
            self._rig.set_cylinder_valve(True)
            return "yes"
        if known == "fully-shut":
            return "yes"
        if known == "unit-running":
            self._rig.start_unit()
            return "yes"
        answer = str(self._scenario.answers.get(known, "no"))
        self.meant[key] = answer
        return answer

    def _place_cylinder(self, job: Job) -> None:
        if job.method is not None:
            self._rig.place_cylinder(job.method.cylinder == "inverted")

    def _is_throttled(self, job: Job) -> bool:
        weigh_in = job.method is not None and job.method.method == "weigh-in"
        return not weigh_in or "unit-running" in job.answers

    def _value(self, key: str, tries: int) -> str:
        if tries > _GIVES_UP_AFTER:
            self._given_up = True
            return "stop"
        value = self._know(key)
        self.meant[key] = value
        if isinstance(value, Amount):
            return self._number(value, tries)
        phrases = self._wording.tables.phrases.get(value)
        if phrases is not None:
            return phrases[(tries - 1) % len(phrases)]
        return self._random.choice(
            _spelled_out(value, self._language)
            if tries > 1
            else self._language.name_forms(value, ())
        )

    def _number(self, value: Amount, tries: int) -> str:
        forms = self._language.number_forms(Decimal(self._shown(value)))
        if tries == 1:
            return self._random.choice(forms)
        if tries == 2:
            return self._language.digits_spoken(Decimal(self._shown(value)))
        # What was not understood twice is said in another way each time.
        own = unit_of(value.of, self._wording.system)
        unit = self._wording.unit(own, spoken=True).lower()
        return forms[tries // 2 % len(forms)] + (f" {unit}" if tries % 2 else "")

    def _know(self, key: str) -> Amount | str:  # noqa: C901 - one match
        """Look at a plate, a label or an instrument."""
        known = base_key(key)
        if key in self.meant and known not in _MEASURED:
            return self.meant[key]
        plate = self._rig.nameplate
        gauges = self._rig.gauges()
        given = self._scenario.answers.get(known)
        if isinstance(given, str):
            return given
        if given is not None:
            return amount(_quantity(known, float(given)))
        match known:
            case "unit-refrigerant":
                return plate.refrigerant
            case "metering":
                return plate.metering
            case "factory-charge":
                return amount(Mass.from_oz(round(plate.factory_charge_oz)))
            case "target-subcooling":
                target = round(plate.target_subcooling_f or 10)
                return amount(TemperatureDifference.from_f(target))
            case "cylinder-weight":
                return amount(
                    Mass.from_oz(round(self._reader.scale_oz(gauges.scale_oz)))
                )
            case _:
                return self._read(known)

    def _read(self, known: str) -> Amount:
        gauges = self._rig.gauges()
        shown = {
            "suction-pressure": gauges.suction_psig,
            "liquid-pressure": gauges.liquid_psig,
            "suction-line-temperature": gauges.suction_line_f,
            "liquid-line-temperature": gauges.liquid_line_f,
            "outdoor-temperature": gauges.outdoor_f,
            "return-dry-bulb": gauges.return_db_f,
            "return-wet-bulb": gauges.return_wb_f,
        }
        seen = self._reader.reading(shown[known], item=known)
        return amount(_quantity(known, float(seen.said)))


_LETTERS = frozenset(
    {"alpha", "alfa", "bravo", "charlie", "delta", "echo", "eco", "foxtrot"}
)
_MEASURED = frozenset(
    {
        "suction-pressure",
        "liquid-pressure",
        "suction-line-temperature",
        "liquid-line-temperature",
        "cylinder-weight",
    }
)


def _spelled_out(designation: str, language: Language) -> tuple[str, ...]:
    """Give the forms that use the spelling alphabet, where there is a letter."""
    forms = language.name_forms(designation, ())
    spelled = tuple(form for form in forms if _LETTERS & set(form.split()))
    return spelled or forms


def _quantity(known: str, value: float) -> Quantity:
    if known.endswith("pressure"):
        return GaugePressure.from_psi(value)
    if known in ("factory-charge", "charge-adder", "cylinder-weight"):
        return Mass.from_oz(value)
    if known == "target-subcooling":
        return TemperatureDifference.from_f(value)
    return Temperature.from_f(value)

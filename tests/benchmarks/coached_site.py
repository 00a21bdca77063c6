"""A simulated site for the coaching benchmarks: unit, technician, and the engine.

The engine is driven by words, samples and ticks through the very seam of
``companion run --lines``, without the process around it; nothing of its job is shown to
the technician but what it says and asks. Every figure of the technician is a chosen
value: personal delay of 1.3 to 3.5 s, call-outs every 2.5 to 4.5 s that are 1 to 2 s old
when they are heard, 4 % of all utterances lost, 2 % of all readings grossly misread.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from companion.job.facts import (
    Fact,
    OpenCalled,
    RoundJudged,
)
from companion.job.inputs import Begun, Input, Sampled, Ticked
from companion.job.know import Know
from companion.job.listening import expected_now
from companion.job.outputs import Ask, Light, Say, Tone
from companion.job.questions import base_key
from companion.job.state import Closed, Job
from companion.knowledge.quantities import (
    GaugePressure,
    Length,
    Temperature,
    standard_atmosphere,
)
from companion.knowledge.targets import Target, target_superheat
from companion.shell.knowing import read_know
from companion.shell.loop import Loop
from companion.shell.record import NoRecord
from companion.shell.rehearsal.run import good_answers
from companion.shell.rig.chart import chart
from companion.shell.rig.hand import Habits, Hand
from companion.shell.rig.readings import Reader, Transducer
from companion.shell.rig.rig import Rig
from companion.shell.rig.spec import RigSpec
from companion.shell.translate import heard
from companion.shell.wording import Line, Wording, read_wording
from speech import Heard as Sound
from speech import digits_spoken

TICK_S = 0.1
LONGEST_S = 2.5 * 3600
REPEATS_AFTER_S = 7.0
SAMPLED_STEPS = 10
"""With the valve closed the sensor is read once in so many steps."""
HINTS = {"slow": "crack", "same": "crack", "less": "less", "more": "more"}
HINTS["double"] = "double"
SHOWN = {
    "suction-pressure": "suction_psig",
    "liquid-pressure": "liquid_psig",
    "suction-line-temperature": "suction_line_f",
    "liquid-line-temperature": "liquid_line_f",
}
_SPOKEN = {"refrigerant": "", "metering": ""}


@dataclass(kw_only=True)
class Crew:
    """How the technician and the instruments are."""

    sensor: bool = False
    scale: bool = False
    misreads: float = 0.02
    lost: float = 0.04
    silent: bool = False
    habits: Habits = field(default_factory=Habits)


@dataclass(kw_only=True)
class Result:
    """What a job came to; charges in per cent of the right one."""

    seed: int
    metering: str
    tons: float
    refrigerant: str
    start_pct: float
    error_pct: float
    fed_pct: float
    outcome: str
    superheat_off_f: float
    subcooling_off_f: float
    peaks_psi: list[float]
    open_s: list[float]
    wettest: list[float]
    slugging: float
    minutes: float
    minutes_to_target: float | None
    prompted: bool
    close_late_s: list[float]
    repeat_gaps_s: list[float]
    unclosed: int
    facts: list[Fact] = field(repr=False, default_factory=list)


class Stage:
    """Hands what is said and asked to the technician."""

    def __init__(self) -> None:
        self.said: list[tuple[float, Say]] = []
        self.asked: tuple[float, str] | None = None

    def say(self, at: float, cue: Say, line: Line) -> None:  # noqa: ARG002
        self.said.append((at, cue))

    def light(self, at: float, light: Light) -> None:
        pass

    def tone(self, at: float, tone: Tone) -> None:
        pass

    def ask(self, at: float, ask: Ask, job: Job) -> None:  # noqa: ARG002
        self.asked = (at, ask.expectation)


class SilentWording(Wording):
    """Says nothing: the technician goes by the cues."""

    def line(self, say: Say) -> Line:  # noqa: ARG002
        return Line(text="", speech="")


_KNOW: list[tuple[Know, Wording]] = []


def know_and_wording() -> tuple[Know, Wording]:
    """Read the tables once a process."""
    if not _KNOW:
        whole = read_wording("us")
        _KNOW.append((read_know(), SilentWording(whole.tables, "us")))
    return _KNOW[0]


class Site:
    """One job on one rig."""

    def __init__(self, spec: RigSpec, crew: Crew) -> None:
        self.spec, self.crew = spec, crew
        self.know, self.wording = know_and_wording()
        self.names = self.know.knowledge.catalogue.designations
        self.rig = Rig(spec)
        self.chart = chart(spec)
        self.hand = Hand(seed=spec.seed, habits=crew.habits)
        self.reader = Reader(seed=spec.seed, misreads=crew.misreads, lost=crew.lost)
        self.transducer = Transducer(seed=spec.seed)
        self.random = random.Random(f"crew {spec.seed}")  # noqa: S311
        self.stage = Stage()
        self.facts: list[Fact] = []
        self.loop = Loop(
            know=self.know,
            wording=self.wording,
            record=NoRecord(),
            stage=self.stage,
            seen=lambda _, facts: self.facts.extend(facts),
        )
        self.good = good_answers(self.know)
        self.answers = self._plate()
        self.say_at: list[tuple[float, str]] = []
        self.act_at: list[tuple[float, Callable[[], None]]] = []
        self.call_at: float | None = None
        self.is_open = False
        self.first_of_set = True
        self.last_key = ""
        self.offset = 0.0
        self.prompted = False
        self.turning = False
        self.needle_psi = 5.0

    # --- what the plates say

    def _plate(self) -> dict[str, str]:
        plate = self.rig.nameplate
        orifice = self.spec.metering == "fixed-orifice"
        spoken = self.wording.tables.phrases
        name = " ".join(
            {"A": "alpha", "B": "bravo", "C": "charlie", "a": "alpha"}.get(c, c)
            for c in plate.refrigerant.replace("-", " ").replace("R", "r")
        )
        answers = {
            "unit-refrigerant": name,
            "cylinder-refrigerant": name,
            "unit-state": spoken["cooling"][0],
            "metering": spoken["fixed-orifice" if orifice else "thermostatic"][0],
            "factory-charge": digits_spoken(Decimal(round(plate.factory_charge_oz))),
            "critical-charge": "negative",
            "target-subcooling": digits_spoken(Decimal(round(self.chart.subcooling_f))),
            "dip-tube": "affirmative" if self.spec.cylinder_dip_tube else "negative",
            "restrictor": "negative",
            "scale": "affirmative" if self.crew.scale else "negative",
            "leak-state": spoken["none-found"][0],
            "loss": spoken["small"][0],
            "outdoor-temperature": digits_spoken(Decimal(round(self.spec.outdoor_f))),
        }
        if orifice:
            wet = wet_bulb_for(self.know, self.spec.outdoor_f, self.chart.superheat_f)
            answers["return-wet-bulb"] = digits_spoken(wet)
        return answers

    # --- before charging: real words, no time on the rig

    def prepare(self) -> None:
        ambient = standard_atmosphere(Length(0))
        self.loop.step(Begun(at=0.0, job=f"bench-{self.spec.seed}", ambient=ambient))
        at = 0.0
        for _ in range(300):
            job = self.loop.job
            key = job.asked.key if job.asked is not None else ""
            if key.startswith("suction-pressure@") or job.halted or job.finished:
                break
            at += 1.0
            self._hear(at, self._prepared(key))
        job = self.loop.job
        if job.asked is None or not job.asked.key.startswith("suction-pressure@"):
            raise RuntimeError(f"the job does not come to charging: {job.halted} {job}")
        if job.method is not None:
            self.rig.place_cylinder(job.method.cylinder == "inverted")
        self.offset = at

    def _prepared(self, key: str) -> str:
        job = self.loop.job
        if job.pending is not None:
            return "affirmative"
        if "/" in key:
            good = self.good.get(key)
            return {"yes": "affirmative", "no": "negative"}.get(good or "", "all done")
        if base_key(key) == "cylinder-weight":
            return self._weight()
        return self.answers.get(base_key(key), "all done")

    # --- words in

    def _hear(self, at: float, words: str) -> None:
        sound = Sound(
            words=words, confidence=1, sure=True, engine="typed", begin=0, end=0
        )
        expects = expected_now(self.loop.job)
        self._give(heard(at, sound, expects, self.wording, self.names))

    def _give(self, event: Input) -> None:
        self.loop.step(event)

    def _speak(self, at: float, words: str, *, again: bool = True) -> None:
        """Say words at ``at``; they are heard later, or lost and said again."""
        while self.reader.is_lost():
            if not again:
                return
            at += REPEATS_AFTER_S
        self.say_at.append((at + self.reader.speech_s(), words))
        self.say_at.sort(key=lambda each: each[0])

    # --- the job

    def run(self) -> Result:
        self.prepare()
        loop = self.loop
        self._react()
        steps = 0
        while loop.job.charging_ended is None and not loop.faulted:
            steps += 1
            now = round(steps * TICK_S, 1)
            if now > LONGEST_S:
                break
            self.rig.advance(TICK_S)
            self._move_hand(now)
            while self.act_at and self.act_at[0][0] <= now:
                self.act_at.pop(0)[1]()
            self._say_what_is_due(now)
            due = loop.deadline
            if due is not None and due <= now + self.offset + 1e-9:
                self._give(Ticked(at=now + self.offset))
            self._react()
        if loop.faulted:
            raise RuntimeError("the engine failed")
        return self._result(steps * TICK_S)

    def _move_hand(self, now: float) -> None:
        if self.turning or self.is_open:
            seen = self.rig.gauges().suction_psig
            opening = self.hand.opening(now, seen)
            self.rig.turn_valve(opening)
            self.is_open = opening > 0
            if self.crew.sensor and round(now * 10) % 3 == 0:
                self._sample(now)
            if not self.crew.silent and not self.crew.sensor:
                self._call_out(now, seen)
        elif self.crew.sensor and round(now * 10) % SAMPLED_STEPS == 0:
            self._sample(now)

    def _sample(self, now: float) -> None:
        psi = self.transducer.reading_psig(self.rig.gauges().suction_psig)
        reading = {"suction-pressure": GaugePressure.from_psi(psi)}
        self._give(Sampled(at=now + self.offset, readings=reading))

    def _call_out(self, now: float, seen: float) -> None:
        if self.call_at is None or now < self.call_at:
            return
        self.call_at = now + self.reader.call_out_gap_s()
        if isinstance(self.loop.job.valve, Closed):
            self.call_at = None
            return
        other = self.rig.gauges().liquid_psig
        said = self.reader.reading(seen, item="suction-pressure", other=other).said
        self._speak(now, digits_spoken(Decimal(said)), again=False)

    def _say_what_is_due(self, now: float) -> None:
        while self.say_at and self.say_at[0][0] <= now:
            _, words = self.say_at.pop(0)
            self._hear(now + self.offset, words)
            self._react()

    # --- what the companion says and asks

    def _react(self) -> None:
        said, self.stage.said = self.stage.said, []
        for at, cue in said:
            self._understand(at - self.offset, cue)
        if self.stage.asked is not None:
            at, expectation = self.stage.asked
            self.stage.asked = None
            self._asked(at - self.offset, expectation)

    def _understand(self, at: float, cue: Say) -> None:
        match cue.cue:
            case "open-now":
                self._open(at, str(cue.values["hint"]))
            case "ready-slow" | "ready-vapor-slow":
                self._told_to_stop_at(cue.values["turn_to"])
            case "ease-off":
                self.hand.ease(at)
            case "open-more":
                self.prompted = True
                self._more(at)
            case name if name.startswith("close"):
                if not name.startswith("closed"):
                    self._close(at)
                else:
                    self._report_closed(at + 1.0)

    def _told_to_stop_at(self, value: object) -> None:
        """Keep the needle's place to stop at: so much above where it stands now."""
        said = round(value.quantity.psi)
        self.needle_psi = max(1.0, said - self.rig.gauges().suction_psig)

    def _open(self, at: float, hint: str) -> None:
        turns = self.hand.open(
            HINTS[hint], at, slow_turn=hint == "slow", needle_psi=self.needle_psi
        )
        self.turning = True
        self.call_at = turns[0].at + self.reader.call_out_gap_s()
        if not self.crew.silent:
            self._speak(turns[0].at + 0.6, "flowing", again=False)

    def _more(self, at: float) -> None:
        turns = self.hand.open("more", at)
        self.turning = bool(turns)

    def _close(self, at: float) -> None:
        if not self.is_open and self.hand.opening(at, 0.0) == 0.0 and not self.turning:
            self._report_closed(at + 1.0)
            return
        turns = self.hand.close(at)
        if turns:
            self.call_at = None
            shut_at = turns[-1].at
            self.act_at.append((shut_at + 0.2, self._still))
            self._report_closed(shut_at + 0.6)

    def _still(self) -> None:
        self.turning = False

    def _report_closed(self, at: float) -> None:
        self.say_at = [each for each in self.say_at if each[1] != "fully shut"]
        self._speak(at, "fully shut", again=False)

    def _asked(self, at: float, expectation: str) -> None:
        job = self.loop.job
        key = job.asked.key if job.asked is not None else ""
        if not isinstance(job.valve, Closed):
            return
        known = base_key(key)
        self.last_key = key
        if expectation == "read-back":
            self._read_back(at, key)
            return
        if known in SHOWN:
            if self.crew.sensor and known == "suction-pressure":
                return
            delay = self.reader.answer_s(first=self.first_of_set)
            self.first_of_set = False
            self.act_at.append((at + delay - 1.0, lambda: self._read(known, key)))
            self.act_at.sort(key=lambda each: each[0])
            return
        self.first_of_set = True
        words = self._other_words(known)
        if words:
            self._speak(at + self.random.uniform(1.5, 3.5), words)

    def _other_words(self, known: str) -> str:
        match known:
            case "cylinder-valve-shut":
                self.rig.set_cylinder_valve(False)
                return "affirmative"
            case "cylinder-valve-open":
                self.rig.set_cylinder_valve(True)
                return "affirmative"
            case "fully-shut":
                return "affirmative"
            case "ready":
                return "i am ready"
            case "cylinder-weight":
                return self._weight()
            case "waiting" | "over" | "":
                return ""
            case "halted":
                return "continue"
            case _:
                return "all done"

    def _weight(self) -> str:
        ounces = self.reader.scale_oz(self.rig.gauges().scale_oz)
        return digits_spoken(Decimal(f"{ounces:.1f}"))

    def _read(self, known: str, key: str) -> None:
        job = self.loop.job
        if job.asked is None or job.asked.key != key:
            return
        gauges = self.rig.gauges()
        other = {
            "suction-pressure": gauges.liquid_psig,
            "liquid-pressure": gauges.suction_psig,
        }.get(known)
        value = getattr(gauges, SHOWN[known])
        said = self.reader.reading(value, item=known, other=other).said
        self._speak(self.rig.now - 1.0 + 1e-6, digits_spoken(Decimal(said)))

    def _read_back(self, at: float, key: str) -> None:
        """Look again; confirm what was read back, or say what stands there."""
        pending = self.loop.job.pending
        known = base_key(key)
        if pending is None or known not in SHOWN:
            self._speak(at + 1.0, "affirmative")
            return
        value = getattr(self.rig.gauges(), SHOWN[known])
        quantity = pending.answer.amount.quantity
        taken = quantity.psi if isinstance(quantity, GaugePressure) else quantity.f
        if abs(taken - value) < 4:
            self._speak(at + 1.5, "affirmative")
        else:
            said = self.reader.reading(value, item=known).said
            self._speak(at + 2.0, digits_spoken(Decimal(said)))

    # --- afterwards

    def _result(self, seconds: float) -> Result:
        truth, openings = self.rig.truth(), self.rig.openings
        job = self.loop.job
        self.rig.turn_valve(0.0)
        error = 100 * (truth.charge_kg / truth.full_charge_kg - 1)
        late, gaps, unclosed = close_calls(self.facts)
        target_at = target_found(self.facts)
        return Result(
            seed=self.spec.seed,
            metering=self.spec.metering,
            tons=self.spec.tons,
            refrigerant=self.spec.refrigerant,
            start_pct=100 * (self.spec.charge_fraction - 1),
            error_pct=error,
            fed_pct=100 * truth.fed_kg / truth.full_charge_kg,
            outcome=job.charging_ended or "not ended",
            superheat_off_f=(truth.superheat_f or 0) - self.chart.superheat_f,
            subcooling_off_f=(truth.subcooling_f or 0) - self.chart.subcooling_f,
            peaks_psi=[each.peak_rise_psi for each in openings],
            open_s=[(each.end_s or seconds) - each.start_s for each in openings],
            wettest=[each.wettest for each in openings],
            slugging=truth.slugging_index,
            minutes=seconds / 60,
            minutes_to_target=None
            if target_at is None
            else (target_at - self.offset) / 60,
            prompted=self.prompted
            or any(
                each.kind == "answer-accepted" and "flow-checked" in each.key
                for each in self.facts
            ),
            close_late_s=late,
            repeat_gaps_s=gaps,
            unclosed=unclosed,
            facts=self.facts,
        )


def wet_bulb_for(know: Know, outdoor_f: float, superheat_f: float) -> Decimal:
    """Give the wet bulb at which the table's target is the maker's chart's, to 1 F."""
    outdoor, wanted = Temperature.from_f(round(outdoor_f)), round(superheat_f)
    best: tuple[float, Decimal] | None = None
    for tenths in range(500, 761):
        wet = Decimal(tenths) / 10
        found = target_superheat(
            know.knowledge.targets, outdoor, Temperature.from_f(float(wet))
        )
        if isinstance(found, Target):
            off = abs(found.value.f - wanted)
            if best is None or off < best[0]:
                best = (off, wet)
    if best is None:
        raise RuntimeError(f"no target at {outdoor_f} F outdoors")
    return best[1]


def close_calls(facts: Sequence[Fact]) -> tuple[list[float], list[float], int]:
    """Give how late each close call was against its limit, the repeat gaps, the rest."""
    late, gaps, unclosed = [], [], 0
    plan: OpenCalled | None = None
    opened: float | None = None
    heard_at = called_at = 0.0
    for fact in facts:
        match fact.kind:
            case "open-called":
                plan, opened, heard_at = fact, None, fact.at + 4.0
                unclosed += 1
            case "open-reported":
                opened = heard_at = fact.at
            case "open-reading-seen":
                heard_at = fact.at
            case "close-called" if plan is not None:
                planned = min(plan.planned_s, plan.limit_s)
                due = plan.at + plan.lead_s + planned
                if opened is not None:
                    due = max(opened + 0.2, opened - 2.0 + planned)
                due = min(due, plan.at + 4.0 + plan.limit_s, heard_at + plan.silence_s)
                late.append(fact.at - due)
                unclosed -= 1
                plan, called_at = None, fact.at
            case "close-called" | "close-repeated":
                gaps.append(fact.at - called_at)
                called_at = fact.at
            case _:
                pass
    return late, gaps, unclosed


def target_found(facts: Sequence[Fact]) -> float | None:
    """Give when the settled readings were first at the target for good."""
    found = None
    for fact in facts:
        if isinstance(fact, RoundJudged) and fact.verdict == "done" and found is None:
            found = fact.at
        if isinstance(fact, OpenCalled):
            found = None
    return found


__all__ = ["Crew", "Result", "Site", "know_and_wording"]

"""The conversation of a rehearsal: printed as it happens, kept, and counted."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from companion.job.amounts import Amount
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import (
    Answer,
    AnswerAccepted,
    AnswerDenied,
    AnswerDoubted,
    AnswerRefused,
    CloseCalled,
    CloseReported,
    Fact,
    MethodChosen,
    NameAnswer,
    NumberAnswer,
    OpenReadingSeen,
    OptionAnswer,
    RoundJudged,
)
from companion.job.questions import base_key
from companion.shell.units import number_in, unit_of
from companion.shell.wording import Wording
from speech import Heard


@dataclass(slots=True)
class Readings:
    """How the spoken numbers and designations fared."""

    accepted_right: int = 0
    accepted_wrong: int = 0
    asked_again: int = 0
    wrong: list[str] = field(default_factory=list)


class Conversation:
    """Collects lines with their time, and compares what counts with what was meant."""

    def __init__(
        self,
        wording: Wording,
        meant: dict[str, Amount | str],
        show: Callable[[str], None] | None = None,
    ) -> None:
        self._wording = wording
        self._meant = meant
        self._show = show
        self.lines: list[str] = []
        self.readings = Readings()
        self.pulses = 0

    def line(self, at: float, who: str, text: str) -> None:
        """Add one line."""
        minutes, seconds = divmod(max(0.0, at), 60)
        written = f"{int(minutes):3d}:{seconds:04.1f}  {who:<11} {text}"
        self.lines.append(written)
        if self._show is not None:
            self._show(written)

    def heard(self, at: float, sound: Heard) -> None:
        """Add what the listener made of a sound."""
        words = f'"{sound.words}"' if sound.words else "(sound that was no speech)"
        sure = "sure" if sound.sure else "unsure"
        self.line(
            at, "  heard", f"{words} ({sound.engine}, {sound.confidence:.2f}, {sure})"
        )

    def facts(self, at: float, facts: Sequence[Fact]) -> None:
        """Add what became of an answer, and count it."""
        for fact in facts:
            note = self._note(fact)
            if note:
                self.line(at, "  ", note)

    def _note(self, fact: Fact) -> str:  # noqa: C901 - one match
        match fact:
            case AnswerDoubted() if fact.key != "valve-closed":
                doubt = f", odd: {fact.doubt}" if fact.doubt else ""
                return f"understood  {fact.key}: {self._shown(fact.answer)}; read back{doubt}"
            case AnswerAccepted():
                self._count(fact)
                return f"accepted    {fact.key} = {self._shown(fact.answer)}"
            case AnswerRefused():
                self._again(fact.key)
                return f"refused     {fact.key}: {fact.reason}"
            case AnswerDenied():
                self._again(fact.key)
                return f"denied      {fact.key}"
            case MethodChosen():
                return f"decided     {fact.method}, cylinder {fact.cylinder}, source: {fact.source}"
            case OpenReadingSeen():
                return f"seen        {self._amount(fact.reading)}"
            case CloseCalled():
                self.pulses = max(self.pulses, fact.opening)
                return f"close call  opening {fact.opening}: {fact.reason}"
            case CloseReported():
                return f"closed      opening {fact.opening}, by {fact.by}"
            case RoundJudged():
                return f"judged      {fact.purpose} readings: {fact.verdict} ({fact.finding})"
            case _:
                return ""

    def _counts(self, key: str) -> bool:
        known = base_key(key)
        expects = "refrigerant" if known.endswith("refrigerant") else known
        found = EXPECTATIONS.get(expects)
        return found is not None and (found.of is not None or found.names)

    def _again(self, key: str) -> None:
        if self._counts(key):
            self.readings.asked_again += 1

    def _count(self, fact: AnswerAccepted) -> None:
        if fact.by == "sensor" or not self._counts(fact.key):
            return  # only what was spoken can be taken wrongly
        meant = self._meant.get(fact.key)
        shown = self._amount(meant) if isinstance(meant, Amount) else meant
        if isinstance(fact.answer, OptionAnswer) or shown == self._shown(fact.answer):
            self.readings.accepted_right += 1
        else:
            self.readings.accepted_wrong += 1
            self.readings.wrong.append(
                f"{fact.key}: meant {shown}, took {self._shown(fact.answer)}"
            )

    def _amount(self, value: Amount) -> str:
        unit = unit_of(value.of, self._wording.system)
        return f"{number_in(value, unit)} {unit.printed}"

    def _shown(self, answer: Answer) -> str:
        match answer:
            case NumberAnswer():
                return self._amount(answer.amount)
            case NameAnswer():
                return answer.designation
            case OptionAnswer():
                return answer.option

"""The charging valve: called open, called closed, and never left without a close call.

Rules, in order of weight:

1. Nothing opens by itself or by default. The word to open is given only after the
   technician has said "ready" for this very opening.
2. From the word to open, the valve counts as open, whether or not anybody says so.
3. An open valve gets its close call at the earliest of: the planned moment, the limit
   counted from the word to open, the pressure or weight limit in a reading, a silence
   of the technician and of the sensor, "noise", "close" or "stop" from the technician,
   or the loss of the microphone, the keyboard, the speaker or the record.
4. The close call is voice, lamp and tone in the same turn, and goes before the record.
5. The call repeats until the technician says "closed" or presses the button. A
   falling pressure is not proof, elapsed time is not proof, and a "closed" that the
   recogniser is unsure of is asked for once more.
6. Saying "closed" while the valve counts as open leads to the close call first: a
   misheard "opened" must never end the watch.

The table below is the whole machine. ``companion check --valve`` prints it.
"""

from dataclasses import replace
from typing import Literal, assert_never

from companion.job.amounts import Amount, amount
from companion.job.coach.watching import look
from companion.job.evolve import REACTION_S
from companion.job.facts import (
    AnswerDoubted,
    CloseCalled,
    CloseReason,
    CloseRepeated,
    CloseReported,
    HandAdvised,
    OpenCalled,
    OpenReadingSeen,
    OpenReported,
    OptionAnswer,
    Spoken,
)
from companion.job.outputs import Ask, Light, Tone
from companion.job.state import Closed, Closing, Open, Opening, Valve
from companion.job.turn import Turn
from companion.knowledge.quantities import GaugePressure, Mass

Event = Literal[
    "ready",
    "opened",
    "closed",
    "reading",
    "reading-at-limit",
    "due",
    "silence",
    "close",
]
Step = Literal["open-call", "note", "close-call", "repeat", "shut", "refuse"]

TABLE: dict[tuple[str, Event], tuple[Step, str]] = {
    ("closed", "ready"): ("open-call", "opening"),
    ("closed", "opened"): ("close-call", "closing"),
    ("closed", "closed"): ("refuse", "closed"),
    ("closed", "reading"): ("refuse", "closed"),
    ("closed", "reading-at-limit"): ("refuse", "closed"),
    ("closed", "due"): ("refuse", "closed"),
    ("closed", "silence"): ("refuse", "closed"),
    ("closed", "close"): ("close-call", "closing"),
    ("opening", "ready"): ("refuse", "opening"),
    ("opening", "opened"): ("note", "open"),
    ("opening", "closed"): ("close-call", "closing"),
    ("opening", "reading"): ("note", "opening"),
    ("opening", "reading-at-limit"): ("close-call", "closing"),
    ("opening", "due"): ("close-call", "closing"),
    ("opening", "silence"): ("close-call", "closing"),
    ("opening", "close"): ("close-call", "closing"),
    ("open", "ready"): ("refuse", "open"),
    ("open", "opened"): ("note", "open"),
    ("open", "closed"): ("close-call", "closing"),
    ("open", "reading"): ("note", "open"),
    ("open", "reading-at-limit"): ("close-call", "closing"),
    ("open", "due"): ("close-call", "closing"),
    ("open", "silence"): ("close-call", "closing"),
    ("open", "close"): ("close-call", "closing"),
    ("closing", "ready"): ("refuse", "closing"),
    ("closing", "opened"): ("repeat", "closing"),
    ("closing", "closed"): ("shut", "closed"),
    ("closing", "reading"): ("refuse", "closing"),
    ("closing", "reading-at-limit"): ("refuse", "closing"),
    ("closing", "due"): ("repeat", "closing"),
    ("closing", "silence"): ("repeat", "closing"),
    ("closing", "close"): ("repeat", "closing"),
}
"""State and event to what is done and the next state."""

SLACK_S = 0.002
"""A moment counts as come this little before it [s]: sums of times are not exact."""
REPORT_LAG_S = 2.0
"""The hand opens before the word "open" is understood, by about this much [s].
Our own design value."""
LEAST_S = 0.2
"""After "opened" is heard the close call comes no sooner than this [s]."""
CLOSING_LAG_S = REACTION_S
"""From a weight called out until the hand has closed [s]: the slowest reaction."""
COUNT_DOWN_KG = tuple(Mass.from_oz(mark).kg for mark in (4, 8, 16, 32))
"""Marks of the countdown of a weigh-in, nearest first [kg]. Our own values."""
EXACT_PA, EXACT_KG = 1.0, 1e-6
"""A reading that was said to be the limit is the limit, through unit conversions."""
STILL_PA = GaugePressure.from_psi(1.0).pa
"""A higher reading while the hand closes is kept where it is so much higher."""
SAMPLE_S = 1.0
"""A sensor's readings below the limit are remembered this often [s]."""
REPEAT_S = 3.8
"""A close call is repeated this often [s] until "closed" is confirmed. Our own value:
the ear is closed while the call is spoken, and "valve closed" must fit in between; a
call every 2 s would never let it be heard."""
ALARM_NAMES_BUTTON = 3
"""Every so many repeats of an alarm the words name the button; the others are short,
so that there is time to hear "valve closed" between them."""
ALARM_AFTER_S = 10.0
"""From here on the close call is an alarm: danger tone and flashing lamp [s]."""


def printed_table() -> str:
    """Give the table of states as text, one row a state and event."""
    rows = [f"{'state':8} {'event':17} {'does':11} next"]
    rows += [
        f"{state:8} {event:17} {step:11} {after}"
        for (state, event), (step, after) in TABLE.items()
    ]
    return "\n".join(rows)


def deadline(valve: Valve) -> float | None:
    """Give the moment the valve must be looked at next, or None when it is closed."""
    match valve:
        case Closed():
            return None
        case Opening():
            return min(close_due(valve), valve.heard_at + valve.silence_s)
        case Open():
            return min(close_due(valve), valve.heard_at + valve.plan.silence_s)
        case Closing():
            return valve.repeated_at + REPEAT_S
        case _:
            assert_never(valve)


def close_due(valve: Opening | Open) -> float:
    """Give the moment of the close call if nothing calls for it earlier."""
    match valve:
        case Opening():
            longest = min(valve.planned_s, valve.limit_s)
            return valve.called_at + min(valve.lead_s, REACTION_S) + longest
        case Open():
            plan = valve.plan
            heard = valve.opened_at + max(LEAST_S, plan.planned_s - REPORT_LAG_S)
            return min(heard, plan.called_at + REACTION_S + plan.limit_s)


def _do(turn: Turn, event: Event) -> Step:
    return TABLE[turn.job.valve.kind, event][0]


def tick(turn: Turn) -> None:
    """Give the close call, or repeat it, when its moment has come."""
    valve = turn.job.valve
    due = deadline(valve)
    if due is None or turn.at < due - SLACK_S:
        return
    match valve:
        case Opening() | Open():
            silent = turn.at < close_due(valve) - SLACK_S
            _obey(
                turn, "silence" if silent else "due", "silence" if silent else "planned"
            )
        case _:
            _obey(turn, "due", "planned")


def call_close(turn: Turn, reason: CloseReason) -> None:
    """Give the close call at once, whatever the valve is thought to be."""
    _obey(turn, "close", reason)


def call_open(turn: Turn, plan: OpenCalled) -> None:
    """Give the word to open; only for a "ready" said for this opening."""
    if _do(turn, "ready") != "open-call":
        turn.say("not-now")
        return
    turn.remember(replace(plan, at=turn.at))
    draw = turn.job.method.draw if turn.job.method else "liquid"
    turn.say("open-now", kind=draw, hint=plan.hint)
    expects = "open-suction" if plan.ceiling is not None else "open-weight"
    turn.show(
        Light(lamp="attention", pattern="steady"),
        Tone(pattern="information"),
        Ask(expectation=expects),
    )


def opened(turn: Turn) -> None:
    """Take the technician's word that the valve is open."""
    if _do(turn, "opened") == "note":
        if isinstance(turn.job.valve, Opening):
            turn.remember(OpenReported(at=turn.at, opening=turn.job.valve.number))
        return
    _obey(turn, "opened", "unsure")


def off_the_gauge(turn: Turn) -> None:
    """Take a number called out that is beyond any gauge's sense: close, to be safe."""
    if isinstance(turn.job.valve, Opening | Open):
        _obey(turn, "reading-at-limit", "unsure")


def closed(turn: Turn, *, sure: bool, by: Spoken) -> None:
    """Take the technician's word, or button, that the valve is closed."""
    match _do(turn, "closed"):
        case "shut" if sure or _half_heard(turn):
            _shut(turn, by)
        case "shut":
            _doubt(turn)
        case "refuse":
            turn.say("already-closed")
        case _:
            _obey(turn, "closed", "reported")


def reading(turn: Turn, value: GaugePressure | Mass, by: Spoken) -> None:
    """Take a pressure or weight called out, or measured, while the valve is open."""
    valve = turn.job.valve
    if not isinstance(valve, Opening | Open):
        return
    seen = amount(value)
    reason = _over_limit(valve, seen, turn.at)
    advice = None
    if reason is None and seen.of == "gauge-pressure":
        found = look(
            turn.job,
            seen.si,
            turn.at,
            live=by == "sensor",
            planned_end=close_due(valve),
        )
        reason, advice = found.close, found.advice
    quiet = reason is None and advice is None
    if by == "sensor" and quiet and turn.at - valve.heard_at < SAMPLE_S:
        return
    turn.remember(
        OpenReadingSeen(at=turn.at, opening=_number(valve), reading=seen, by=by)
    )
    if reason is None:
        _count_down(turn, valve, seen)
    if reason is not None:
        _obey(turn, "reading-at-limit", reason)
    elif advice is not None:
        turn.remember(HandAdvised(at=turn.at, opening=_number(valve), advice=advice))
        turn.urge(advice)


def still_rising(turn: Turn, shown: GaugePressure) -> None:
    """Keep how far suction still went, by the sensor, while the hand was closing."""
    valve = turn.job.valve
    if not isinstance(valve, Closing) or valve.peak is None:
        return
    if valve.peak.of == "gauge-pressure" and shown.pa >= valve.peak.si + STILL_PA:
        turn.remember(
            OpenReadingSeen(
                at=turn.at,
                opening=valve.number,
                reading=amount(shown),
                by="sensor",
            )
        )


def _count_down(turn: Turn, valve: Opening | Open, seen: Amount) -> None:
    """Say how much is still to go, each time a mark is passed by the scale."""
    plan = valve.plan if isinstance(valve, Open) else valve
    stop, last = plan.stop_weight, valve.last
    if seen.of != "mass" or stop is None or plan.ceiling is not None:
        return
    before = last.si if last is not None and last.of == "mass" else seen.si + 1.0
    for mark in COUNT_DOWN_KG:
        if seen.si <= stop.si + mark < before:
            turn.say("to-go", left=Amount(of="mass", si=max(0.0, seen.si - stop.si)))
            return


def _over_limit(valve: Opening | Open, seen: Amount, at: float) -> CloseReason | None:
    plan = valve.plan if isinstance(valve, Open) else valve
    if seen.of == "mass":
        stop = plan.stop_weight
        near = stop is not None and _ahead(valve, seen, at) <= stop.si + EXACT_KG
        return "weight" if near else None
    top = plan.ceiling
    return "pressure" if top is not None and seen.si >= top.si - EXACT_PA else None


def _ahead(valve: Opening | Open, seen: Amount, at: float) -> float:
    """Give the weight [kg] there will be when the hand has closed."""
    last = valve.last
    elapsed = at - valve.heard_at
    if last is None or last.of != "mass" or elapsed <= 0:
        return seen.si
    return seen.si - max(0.0, (last.si - seen.si) / elapsed) * CLOSING_LAG_S


def _number(valve: Valve) -> int:
    match valve:
        case Open():
            return valve.plan.number
        case Opening() | Closing():
            return valve.number
        case Closed():
            return 0
        case _:
            assert_never(valve)


def _obey(turn: Turn, event: Event, reason: CloseReason) -> None:
    match _do(turn, event):
        case "close-call":
            number = _number(turn.job.valve) or len(turn.job.pulses)
            turn.remember(CloseCalled(at=turn.at, opening=number, reason=reason))
            close_cue(turn, f"close-{reason}")
        case "repeat":
            _repeat(turn)
        case _:
            pass


def _repeat(turn: Turn) -> None:
    valve = turn.job.valve
    if not isinstance(valve, Closing):
        return
    turn.remember(
        CloseRepeated(at=turn.at, opening=valve.number, times=valve.repeats + 1)
    )
    alarmed = turn.at - valve.called_at >= ALARM_AFTER_S
    named = alarmed and valve.repeats % ALARM_NAMES_BUTTON == 0
    close_cue(turn, "close-alarm" if named else "close-again", alarm=alarmed)


def close_cue(turn: Turn, cue: str, *, alarm: bool = False) -> None:
    """Give one close call: voice, lamp and tone, before the record is written."""
    turn.urge(cue)
    turn.show(
        Light(lamp="attention", pattern="fast" if alarm else "blink", urgent=True),
        Tone(pattern="danger", urgent=True),
        Ask(expectation="valve-closed"),
    )


def _half_heard(turn: Turn) -> bool:
    pending = turn.job.pending
    return pending is not None and pending.key == "valve-closed"


def _doubt(turn: Turn) -> None:
    turn.remember(
        AnswerDoubted(
            at=turn.at,
            key="valve-closed",
            answer=OptionAnswer(option="closed"),
            words="closed",
            doubt="unsure",
        )
    )
    valve = turn.job.valve
    if isinstance(valve, Closing):
        turn.remember(
            CloseRepeated(at=turn.at, opening=valve.number, times=valve.repeats + 1)
        )
    close_cue(turn, "closed-again")


def _shut(turn: Turn, by: Spoken) -> None:
    number = _number(turn.job.valve)
    turn.remember(CloseReported(at=turn.at, opening=number, by=by))
    turn.say("closed-heard")
    turn.show(Light(lamp="attention", pattern="off"))

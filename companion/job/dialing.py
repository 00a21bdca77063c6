"""What a press does to the dial: step, take, and hand on what was entered.

See :mod:`companion.job.dial` for the way it works. What is taken comes out as something
heard, by the button, and goes the way of every answer.
"""

from typing import Literal, get_args

from companion.job.dial import (
    LEAVE,
    MINUS,
    NUMBER,
    Dial,
    Page,
    Places,
    Scale,
    menu,
    places,
)
from companion.job.expectations import EXPECTATIONS, Expectation
from companion.job.facts import AnswerDenied, DialTurned
from companion.job.inputs import (
    Button,
    ControlWord,
    Heard,
    Said,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidOutOfRange,
    SaidQuantity,
)
from companion.job.listening import read_back
from companion.job.repeating import repeat
from companion.job.state import Asked, Closed
from companion.job.turn import Turn

_CONTROLS: dict[str, ControlWord] = {word: word for word in get_args(ControlWord)}
TOO_SOON_S = 1.0
"""A confirm so soon after an opening was put cannot answer it [s]: the sentence takes
longer to say. It is the last press of what came before, and opens nothing."""

Outcome = Heard | Literal["taken"] | None
"""Something to be taken as heard; or the press is done with; or it is not the dial's."""


def press(turn: Turn, button: Button) -> Outcome:
    """Let the dial have a press, if it is one for it."""
    job, asked = turn.job, turn.job.asked
    if button not in ("talk", "say-again", "confirm"):
        return None
    if not isinstance(job.valve, Closed) or asked is None or job.finished:
        return None
    if button == "confirm" and _opens_too_soon(turn, asked):
        return "taken"
    if read_back(job):
        return _at_a_read_back(turn, button)
    dial = standing(turn)
    if dial is None:
        if button != "talk":
            return None
        taught = job.dial is not None
        _show(turn, Dial(key=asked.key, page="menu"), "" if taught else "dial-open")
        return "taken"
    expected = EXPECTATIONS[asked.expects]
    if dial.page == "menu":
        return _in_the_menu(turn, dial, expected, button)
    return _at_a_digit(turn, dial, expected, button)


def standing(turn: Turn) -> Dial | None:
    """Give the dial if it is open for what stands."""
    dial, asked = turn.job.dial, turn.job.asked
    open_here = dial is not None and asked is not None and dial.key == asked.key
    return dial if open_here and dial is not None and dial.page != "off" else None


def _opens_too_soon(turn: Turn, asked: Asked) -> bool:
    soon = turn.at - asked.heard_at < TOO_SOON_S
    return asked.expects == "ready" and soon and standing(turn) is None


def _at_a_read_back(turn: Turn, button: Button) -> Outcome:
    """Take "talk" for the no that the confirm button has no room for."""
    pending = turn.job.pending
    if button != "talk" or pending is None:
        return None
    turn.remember(AnswerDenied(at=turn.at, key=pending.key))
    turn.say("denied")
    turn.again = True
    return "taken"


def _in_the_menu(
    turn: Turn, dial: Dial, expected: Expectation, button: Button
) -> Outcome:
    choices = _menu(turn, expected)
    if button != "confirm":
        step = 1 if button == "talk" else -1
        _turn_to(turn, dial, "menu", (dial.cursor + step) % len(choices))
        return "taken"
    choice = choices[dial.cursor]
    if choice == NUMBER:
        if _places(turn, expected) is None:
            turn.say("not-now")
            return "taken"
        _turn_to(turn, dial, "digits", 0)
        return "taken"
    _remember(turn, dial, "off", 0, "")
    if choice == LEAVE:
        repeat(turn)
        return "taken"
    return _heard(turn, _meaning(choice, expected), sure=True)


def _at_a_digit(
    turn: Turn, dial: Dial, expected: Expectation, button: Button
) -> Outcome:
    found = _places(turn, expected)
    if found is None:
        return "taken"
    where, scale = found
    ring = where.ring(dial.entered)
    if button != "confirm":
        step = 1 if button == "talk" else -1
        _turn_to(
            turn, dial, "digits", (dial.cursor + step) % len(ring), entered=dial.entered
        )
        return "taken"
    shown = ring[dial.cursor]
    entered = dial.entered + ("-" if shown == MINUS else shown)
    if not where.full(entered):
        _turn_to(turn, dial, "digits", 0, entered=entered)
        return "taken"
    _remember(turn, dial, "off", 0, "")
    return _heard(turn, _number(where, scale, expected, entered), sure=False)


def _number(where: Places, scale: Scale, expected: Expectation, entered: str) -> Said:
    value = where.value(entered)
    low, high = scale.read(expected.low), scale.read(expected.high)
    if not low <= float(value) <= high:
        return SaidOutOfRange(
            value=f"{value.normalize():f}",
            low=f"{low:.0f}",
            high=f"{high:.0f}",
            unit=scale.unit,
        )
    return SaidQuantity(quantity=scale.make(float(value)))


def _meaning(choice: str, expected: Expectation) -> Said:
    if choice in expected.options:
        return SaidChoice(option=choice)
    word = _CONTROLS.get(choice)
    return SaidName(designation=choice) if word is None else SaidControl(word=word)


def _heard(turn: Turn, said: Said, *, sure: bool) -> Heard:
    return Heard(at=turn.at, said=said, words="", sure=sure, by="button")


def _menu(turn: Turn, expected: Expectation) -> tuple[str, ...]:
    known = turn.know.knowledge.catalogue.refrigerants
    return menu(expected, tuple(each.designation for each in known))


def _places(turn: Turn, expected: Expectation) -> tuple[Places, Scale] | None:
    scale = turn.know.scales.get((turn.job.units, str(expected.of)))
    return None if scale is None else (places(expected, scale), scale)


def _turn_to(
    turn: Turn, dial: Dial, page: Page, cursor: int, *, entered: str = ""
) -> None:
    moved = Dial(key=dial.key, page=page, cursor=cursor, entered=entered)
    new_place = page == "digits" and (dial.page, dial.entered) != (page, entered)
    _show(turn, moved, "dial-place" if new_place else "")


def _show(turn: Turn, dial: Dial, cue: str) -> None:
    """Remember where the dial is, and echo it."""
    _remember(turn, dial, dial.page, dial.cursor, dial.entered)
    asked = turn.job.asked
    if asked is None:
        return
    expected = EXPECTATIONS[asked.expects]
    if dial.page == "menu":
        choice = _menu(turn, expected)[dial.cursor]
        turn.say(cue or "dial-choice", choice=choice)
        return
    found = _places(turn, expected)
    if found is None:
        return
    where, _ = found
    digit = where.ring(dial.entered)[dial.cursor]
    if cue == "dial-place":
        turn.say(cue, place=where.name(dial.entered), digit=digit)
    else:
        turn.say("dial-digit", digit=digit)


def _remember(turn: Turn, dial: Dial, page: Page, cursor: int, entered: str) -> None:
    turn.remember(
        DialTurned(at=turn.at, key=dial.key, page=page, cursor=cursor, entered=entered)
    )

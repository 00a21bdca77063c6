"""Do what needs nobody: decide the method, judge a round, start and end a wait.

Each of these is said when it happens, with its reason.
"""

from typing import assert_never

from companion.job import weigh_in
from companion.job.amounts import amount
from companion.job.facts import (
    ChargingEnded,
    Halted,
    JobFinished,
    MethodChosen,
    WaitEnded,
    WaitStarted,
)
from companion.job.finish import added
from companion.job.foreseeing import foresee
from companion.job.items import (
    DecideMethod,
    EndCharging,
    FinishJob,
    JudgeRound,
    Pause,
    StartWait,
)
from companion.job.method import choose_method
from companion.job.outputs import Light, Tone
from companion.job.refusals import Refused
from companion.job.turn import Turn
from companion.job.verify import judge_round

Automatic = DecideMethod | JudgeRound | StartWait | EndCharging | FinishJob | Pause


def advance(turn: Turn, item: Automatic) -> None:
    """Do one such item."""
    match item:
        case DecideMethod():
            _decide(turn)
        case JudgeRound():
            judge_round(turn, item.purpose)
        case StartWait():
            turn.remember(
                WaitStarted(at=turn.at, purpose=item.purpose, seconds=item.seconds)
            )
            turn.say(f"wait-{item.purpose}", seconds=round(item.seconds))
        case Pause():
            turn.remember(WaitEnded(at=turn.at, purpose=item.waiting.purpose))
            turn.show(Tone(pattern="information"))
        case EndCharging():
            turn.remember(ChargingEnded(at=turn.at, outcome=item.outcome))
            turn.say("charging-ended", outcome=item.outcome)
        case FinishJob():
            _finish(turn, item.outcome)
        case _:
            assert_never(item)


def _decide(turn: Turn) -> None:
    chosen = foresee(turn.job, turn.know) or _choose(turn)
    if isinstance(chosen, MethodChosen):
        turn.remember(chosen)
        turn.say(
            "method",
            method=chosen.method,
            cylinder=chosen.cylinder,
            reason=chosen.reason,
        )
        if chosen.target is not None:
            turn.say("target", stop_by=chosen.stop_by, target=chosen.target)
        elif chosen.stop_by == "weight":
            goal = weigh_in.target(turn.job)
            turn.say("target-weight", target=None if goal is None else amount(goal))
        return
    turn.remember(Halted(at=turn.at, reason=f"method:{chosen.id}"))
    say_refusal(turn, chosen)


def _choose(turn: Turn) -> MethodChosen | Refused:
    return choose_method(turn.job, turn.know, turn.at)


def why_refused(turn: Turn) -> Refused | None:
    """Give the refusal that stands by the answers so far, or None if it is lifted."""
    found = foresee(turn.job, turn.know) or _choose(turn)
    return found if isinstance(found, Refused) else None


def say_refusal(turn: Turn, refused: Refused) -> None:
    """Say why nothing may be added, in the words of its id where there are some."""
    if refused.missing:
        turn.say("method-not-known", missing=refused.missing)
    elif refused.reason:
        turn.say("method-refused", reason=refused.reason)
    else:
        turn.say("method-impossible", refusal=refused.id)


def _finish(turn: Turn, outcome: str) -> None:
    mass = added(turn.job)
    gone = None if mass is None else amount(mass)
    turn.remember(JobFinished(at=turn.at, outcome=outcome, added=gone))
    turn.say("finished", outcome=outcome, added=gone)
    turn.show(Light(lamp="attention", pattern="off"))

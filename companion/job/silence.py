"""A technician who does not answer is prompted, then warned, then called for.

The steps in time are our own design values; the last repeats, because a lone worker
who is silent beside a running unit may need help.
"""

from companion.job.facts import SilenceNoticed
from companion.job.outputs import Ask, Light, Tone
from companion.job.pulses import SLACK_S
from companion.job.repeating import repeat
from companion.job.state import Closed, Job
from companion.job.turn import Turn

STEPS_S = (30.0, 45.0, 120.0)
"""Silence [s] before the prompt, the warning, and each further alarm."""
_NO_ANSWER_DUE = frozenset({"waiting", "over"})


def silence_due(job: Job) -> float | None:
    """Give the moment at which silence is noticed next, or None where none is due."""
    asked = job.asked
    if asked is None or asked.key in _NO_ANSWER_DUE or job.finished:
        return None
    return asked.heard_at + STEPS_S[min(asked.silences, len(STEPS_S) - 1)]


def notice_silence(turn: Turn) -> None:
    """Prompt, warn or alarm if the technician has been silent too long."""
    asked, due = turn.job.asked, silence_due(turn.job)
    if asked is None or due is None or turn.at < due - SLACK_S:
        return
    if not isinstance(turn.job.valve, Closed):
        return
    times = asked.silences + 1
    turn.remember(SilenceNoticed(at=turn.at, key=asked.key, times=times))
    if "record" in turn.job.missing:
        # Ordinary sentences wait for the record: say at least that, and why.
        turn.urge("blocked", device="record")
        return
    if times == 1:
        turn.say("silence")
        repeat(turn)
        return
    alarm = times > 2
    turn.show(Light(lamp="attention", pattern="fast" if alarm else "blink"))
    turn.show(Tone(pattern="danger" if alarm else "caution"))
    turn.say("silence-alarm" if alarm else "silence-warning")
    turn.show(Ask(expectation=asked.expects))

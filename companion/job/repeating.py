"""Say again what stands."""

from companion.job.asking import expected, say_item
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Blocked,
    Halt,
    Over,
    Pause,
)
from companion.job.outputs import Ask
from companion.job.plan import next_item
from companion.job.read_back import say_read_back
from companion.job.turn import Turn


def repeat(turn: Turn) -> None:
    """Say what stands once more: the read-back that waits, or the item itself."""
    if turn.job.pending is not None:
        say_read_back(turn)
        return
    item = next_item(turn.job, turn.know)
    if isinstance(
        item, AskQuestion | AskStep | AskReady | Halt | Blocked | Pause | Over
    ):
        say_item(turn, item)
        turn.show(Ask(expectation=expected(item)))

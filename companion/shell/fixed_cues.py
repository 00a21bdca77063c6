"""Sentences that never change, made ahead so that their first word costs nothing.

The urgent ones come first. They are kept on the card under a name made of their text
and of how they are spoken, so that only the first start makes them.
"""

import contextlib
import logging
import threading

from checklists import AskStep
from companion.job.cues import CUES
from companion.job.know import Know
from companion.job.outputs import Say
from companion.job.questions import QUESTIONS
from companion.shell.wording import Wording
from speech import SpeechError
from speech.voice import Voice

log = logging.getLogger(__name__)


def fixed_sentences(wording: Wording, know: Know) -> tuple[str, ...]:
    """Give every sentence without a varying value, as it is spoken, urgent ones first."""
    bare = [cue for cue, values in CUES.items() if not values]
    bare.sort(key=lambda cue: not cue.startswith("close"))
    says = [Say(cue=cue, urgent=True) for cue in bare if cue.startswith("close")]
    says += [Say(cue=cue) for cue in bare]
    says += [Say(cue="open-now", values={"kind": kind}) for kind in ("liquid", "vapor")]
    says += [Say(cue="ask", values={"key": key}) for key in QUESTIONS]
    for checklist in know.checklists.values():
        for step in checklist.steps:
            values = {"caution": step.caution or "", "say": step.say}
            says.append(Say(cue="step", values=values))
            if isinstance(step, AskStep):
                says.append(Say(cue="step-stop", values={"remedy": step.remedy}))
    spoken = (wording.line(each).speech for each in says)
    return tuple(dict.fromkeys(each for each in spoken if each))


def prepare_ahead(voice: Voice, sentences: tuple[str, ...]) -> threading.Thread:
    """Make sentences in a thread of their own; what fails is made when it is needed."""

    def work() -> None:
        for sentence in sentences:
            try:
                voice.prepare([sentence])
            except (SpeechError, OSError):
                log.warning("not made ahead: %r", sentence)
                return

    thread = threading.Thread(target=work, name="made ahead", daemon=True)
    with contextlib.suppress(RuntimeError):  # the program is ending
        thread.start()
    return thread

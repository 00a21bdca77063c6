"""What is made ahead: every sentence that never changes, the urgent ones first."""

import threading
from collections.abc import Iterable

from companion.job.cues import CUES
from companion.job.know import Know
from companion.job.outputs import Say
from companion.shell.fixed_cues import fixed_sentences, prepare_ahead
from companion.shell.verbosity import Speaking
from companion.shell.wording import Wording, read_wording
from speech import DeviceError


def test_close_calls_come_first_and_every_bare_cue_is_there(
    wording: Wording, know: Know
) -> None:
    found = fixed_sentences(wording, know)
    close = [cue for cue in CUES if cue.startswith("close")]
    urgent = {wording.line(Say(cue=cue, urgent=True)).speech for cue in close}
    assert set(found[: len(urgent)]) == urgent
    bare = {wording.line(Say(cue=cue)).speech for cue, v in CUES.items() if not v}
    assert bare <= set(found)
    assert "Close. Close the valve now." in found[: len(urgent)]
    limit = "Close. Close the valve now. Pressure is at the limit."
    assert limit in found[: len(urgent)]
    assert "Close the valve. Press the button." in found[: len(urgent)]
    assert "Put on eye protection and cold-insulating gloves." in " ".join(found)
    assert len(found) == len(set(found))


def test_what_a_manner_leaves_out_is_not_made(know: Know) -> None:
    tones = read_wording("us", speaking=Speaking(verbosity="tones"))
    found = fixed_sentences(tones, know)
    assert "" not in found
    assert "Noted." not in found
    assert "Close. Close the valve now." in found


class FailingVoice:
    """Makes two sentences and then no more."""

    def __init__(self) -> None:
        self.made: list[str] = []

    def prepare(self, texts: Iterable[str]) -> None:
        if len(self.made) == 2:
            raise DeviceError("the synthesiser died")
        self.made += texts


def test_a_voice_that_fails_ends_it_quietly() -> None:
    voice = FailingVoice()
    thread = prepare_ahead(voice, ("one", "two", "three", "four"))  # type: ignore[arg-type]
    thread.join(20)
    assert not thread.is_alive()
    assert isinstance(thread, threading.Thread)
    assert voice.made == ["one", "two"]

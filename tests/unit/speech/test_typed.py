import io
import threading

from speech.ports import Heard, Listener, Lost, Speaker
from speech.typed import PrintingSpeaker, TypedListener
from speech.vocabulary import Vocabulary


def test_lines_become_heard_and_the_end_is_a_loss():
    called = threading.Event()
    listener: Listener = TypedListener(io.StringIO("stop\n\n118 psi\n"), called.set)
    listener.expect(Vocabulary())
    listener.mute(True)
    results = listener.settle()
    assert called.is_set()
    assert [r.words for r in results if isinstance(r, Heard)] == ["stop", "118 psi"]
    assert all(r.sure and r.confidence == 1 for r in results if isinstance(r, Heard))
    assert isinstance(results[-1], Lost)
    assert not listener.pending
    listener.close()


def test_a_closed_listener_takes_no_more():
    lines = io.StringIO()
    gate = threading.Event()

    class Slow:
        def __iter__(self):
            gate.wait(5)
            yield "stop\n"

    listener = TypedListener(Slow())
    listener.close()
    gate.set()
    assert listener.settle() == []
    assert not lines.closed


def test_printing():
    out = io.StringIO()
    speaker: Speaker = PrintingSpeaker(out)
    speaker.say("Open the valve.")
    speaker.say("Close the valve.", urgent=True)
    speaker.tone("danger")
    speaker.close()
    assert out.getvalue() == "Open the valve.\n!! Close the valve.\n[danger tone]\n"
    assert not speaker.talking

import builtins
import functools
import multiprocessing
import operator
import os
import threading

import pytest

from speech.child import Answer, Broken, Child, Died

HANG = "__import__('threading').Event().wait(60)"


@pytest.fixture
def children():
    made = []

    def make(*arguments):
        child = Child(*arguments)
        made.append(child)
        return child

    yield make
    for child in made:
        child.close()
        assert child.process_id is None


def value(answer):
    assert isinstance(answer, Answer), answer
    return answer.value


def test_it_answers_from_another_process(children):
    child = children(functools.partial, (builtins.eval,), "calculator")
    assert value(child.ask("__import__('os').getpid()", 20)) != os.getpid()
    assert value(child.ask("6 * 7", 20)) == 42


def test_a_question_it_cannot_answer_leaves_it_alive(children, capfd):
    child = children(operator.itemgetter, ("key",), "reader")
    reply = child.ask({}, 20)
    assert isinstance(reply, Broken)
    assert "KeyError" in reply.reason
    assert value(child.ask({"key": 5}, 20)) == 5
    assert "KeyError" in capfd.readouterr().err


def test_death_is_an_answer_and_it_starts_again(children):
    child = children(functools.partial, (builtins.eval,), "calculator")
    reply = child.ask("__import__('os')._exit(3)", 20)
    assert isinstance(reply, Died)
    assert "the calculator died: it ended by itself (exit code 3)" in reply.reason
    assert not child.running
    assert value(child.ask("1 + 1", 20)) == 2


def test_one_that_hangs_is_ended(children):
    child = children(functools.partial, (builtins.eval,), "sleeper")
    assert isinstance(child.ask("0", 20), Answer)
    reply = child.ask(HANG, 0.05)
    assert isinstance(reply, Died)
    assert "no answer within 0.05 s" in reply.reason


def test_it_can_be_told_to_end_while_it_works(children):
    child = children(functools.partial, (builtins.eval,), "sleeper")
    ended, end = multiprocessing.Pipe(duplex=False)
    replies = []
    asking = threading.Thread(
        target=lambda: replies.append(child.ask(HANG, 60, cancel=ended))
    )
    asking.start()
    end.send_bytes(b"x")
    asking.join(20)
    assert isinstance(replies[0], Died)
    end.close()
    ended.close()


def test_a_failed_set_up_tells_why(children):
    child = children(int, ("x",), "nothing")
    reply = child.ask("?", 20)
    assert isinstance(reply, Died)
    assert "ValueError: invalid literal" in reply.reason


def test_an_idle_death_is_noticed(children):
    child = children(int, ("x",), "nothing")
    child.start()
    woken, wake = multiprocessing.Pipe(duplex=False)
    died = child.wait_for(woken)
    assert isinstance(died, Died)
    assert "invalid literal" in died.reason
    wake.send_bytes(b"x")
    assert child.wait_for(woken) is None
    wake.close()
    woken.close()


def test_what_it_prints_stays_in_it(children, capfd):
    child = children(functools.partial, (print,), "printer")
    child.ask("hello", 20)
    assert capfd.readouterr().out == ""

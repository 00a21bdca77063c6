from companion.job.facts import Continued, Halted
from companion.job.know import Know
from companion.job.outputs import Ask, Light, Say
from companion.job.turn import Turn
from tests.unit.companion.job.conftest import job_of


def test_each_fact_is_folded_at_once_and_the_first_job_stays(know: Know) -> None:
    job = job_of()
    turn = Turn(job, 5.0, know)
    turn.remember(Halted(at=5.0, reason="asked"))
    assert turn.job.halted == "asked"
    turn.remember(Continued(at=5.0))
    assert turn.job.halted is None
    assert job == job_of()
    assert turn.decision().facts == (
        Halted(at=5.0, reason="asked"),
        Continued(at=5.0),
    )


def test_time_never_runs_back(know: Know) -> None:
    assert Turn(job_of(at=7.0), 5.0, know).at == 7.0
    assert Turn(job_of(at=7.0), 9.0, know).at == 9.0


def test_outputs_keep_their_order_and_urgency(know: Know) -> None:
    turn = Turn(job_of(), 5.0, know)
    assert turn.silent
    turn.show(Light(lamp="attention", pattern="off"))
    assert turn.silent
    turn.say("ask", key="scale")
    turn.urge("close-asked")
    turn.show(Ask(expectation="nothing"))
    assert not turn.silent
    assert turn.decision().outputs == (
        Light(lamp="attention", pattern="off"),
        Say(cue="ask", values={"key": "scale"}),
        Say(cue="close-asked", urgent=True),
        Ask(expectation="nothing"),
    )


def test_a_value_may_be_called_cue(know: Know) -> None:
    """Cue values are keywords; the cue's own name is positional."""
    turn = Turn(job_of(), 5.0, know)
    turn.say("method-refused", reason="x")
    assert turn.decision().outputs[0].values == {"reason": "x"}

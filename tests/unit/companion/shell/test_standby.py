import datetime
import threading

from companion.job.outputs import Say
from companion.shell.arrivals import Inbox
from companion.shell.clock import ManualClock, SystemClock
from companion.shell.standby import OFF_AFTER_S, Standby
from companion.shell.supervisor import Supervisor
from hardware import Power, Pressed, open_board

DAY = datetime.datetime(2026, 5, 3, tzinfo=datetime.UTC)


class Desk:
    """A standby with its board; buttons are put into its inbox."""

    def __init__(self, clock: SystemClock | ManualClock | None = None) -> None:
        self.said: list[str] = []
        self.inbox = Inbox()
        self.board = open_board("simulated")
        self.standby = Standby(
            clock=clock or SystemClock(),
            inbox=self.inbox,
            panel=self.board.panel(self.inbox.put),
            say=self.hear,
            supervisor=Supervisor({}),
        )

    def hear(self, cue: Say) -> None:
        self.said.append(cue.cue)

    def press(self, button: str) -> None:
        self.inbox.put(Pressed(button=button, at_press="down"))  # type: ignore[arg-type]


def test_confirm_begins_a_job_and_say_again_repeats() -> None:
    desk = Desk()
    desk.press("talk")
    desk.press("say-again")
    desk.press("confirm")
    assert desk.standby.wait() == "begin"
    assert desk.said == ["standby", "standby"]
    desk.board.close()


def test_backup_power_ends_it_at_once() -> None:
    desk = Desk()
    desk.inbox.put(Power(ignition=True, backup=True))
    assert desk.standby.wait() == "supply-gone"
    desk.board.close()


def test_an_engine_that_stays_off_ends_it_and_one_that_starts_does_not() -> None:
    clock = ManualClock()
    desk = Desk(clock)
    desk.inbox.put(Power(ignition=False, backup=False))
    desk.inbox.put(Power(ignition=True, backup=False))
    ended: list[str] = []
    worker = threading.Thread(target=lambda: ended.append(desk.standby.wait()))
    worker.start()
    while not desk.inbox.empty():
        pass
    clock.move_to(OFF_AFTER_S + 1)
    desk.press("confirm")
    worker.join(10)
    assert ended == ["begin"]
    desk.board.close()
    off = Desk(clock)
    off.inbox.put(Power(ignition=False, backup=False))
    worker = threading.Thread(target=lambda: ended.append(off.standby.wait()))
    worker.start()
    while worker.is_alive():
        clock.move_to(clock.now() + OFF_AFTER_S)
        worker.join(0.05)
    assert ended[-1] == "supply-gone"
    off.board.close()


def test_the_technician_vouches_for_the_date_or_not() -> None:
    yes, no = Desk(), Desk()
    yes.press("say-again")
    yes.press("confirm")
    assert yes.standby.confirm_date(DAY)
    no.press("stop")
    assert not no.standby.confirm_date(DAY)
    assert no.said == ["confirm-date", "date-doubted"]
    yes.board.close()
    no.board.close()

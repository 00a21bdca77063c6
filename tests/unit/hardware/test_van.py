from hardware import open_board, pins
from hardware.board import Board
from hardware.ports import Power
from hardware.van import VanSupply


def van(board: Board) -> VanSupply:
    supply = board.van()
    board.factory.pin(pins.IGNITION).drive_low()  # on, through the opto-isolator
    board.factory.pin(pins.BACKUP_POWER).drive_low()
    return supply


def test_cranking_is_no_ignition_off() -> None:
    with open_board("simulated") as board:
        supply = van(board)
        assert supply.tick(0.0) is None
        board.factory.pin(pins.IGNITION).drive_high()
        assert supply.tick(1.0) is None
        assert supply.tick(3.5) is None
        board.factory.pin(pins.IGNITION).drive_low()
        assert supply.tick(5.0) is None


def test_ignition_off_is_said_once_after_a_while_and_so_is_on() -> None:
    with open_board("simulated") as board:
        supply = van(board)
        board.factory.pin(pins.IGNITION).drive_high()
        assert supply.tick(0.0) is None
        assert supply.tick(3.0) == Power(ignition=False, backup=False)
        assert supply.tick(9.0) is None
        board.factory.pin(pins.IGNITION).drive_low()
        assert supply.tick(10.0) == Power(ignition=True, backup=False)


def test_backup_power_counts_at_once() -> None:
    with open_board("simulated") as board:
        supply = van(board)
        board.factory.pin(pins.BACKUP_POWER).drive_high()
        assert supply.tick(0.0) == Power(ignition=True, backup=True)

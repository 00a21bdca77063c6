"""Kit: buttons, lamps, sounder and transducers. Knows no refrigerants."""

from hardware.board import Board, open_board
from hardware.converter import Channel
from hardware.ports import (
    Button,
    Buzz,
    Fault,
    HardwareError,
    Lamp,
    LampPattern,
    Panel,
    Pressed,
    Reading,
    Sensors,
    SoundPattern,
)
from hardware.transducers import PressureCalibration, ThermistorCalibration

__all__ = [
    "Board",
    "Button",
    "Buzz",
    "Channel",
    "Fault",
    "HardwareError",
    "Lamp",
    "LampPattern",
    "Panel",
    "Pressed",
    "PressureCalibration",
    "Reading",
    "Sensors",
    "SoundPattern",
    "ThermistorCalibration",
    "open_board",
]

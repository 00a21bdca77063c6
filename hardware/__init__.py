"""Kit: buttons, lamps, sounder, sensors, scale and van supply. Knows no refrigerants."""

from hardware.board import Board, open_board
from hardware.calibration import SensorPlan, read_plan, read_plan_file
from hardware.converter import Channel
from hardware.ports import (
    Button,
    Buzz,
    Fault,
    HardwareError,
    Lamp,
    LampPattern,
    Panel,
    Power,
    Pressed,
    Reading,
    Sensors,
    SoundPattern,
)
from hardware.sensing import SensorSet, open_sensors
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
    "Power",
    "Pressed",
    "PressureCalibration",
    "Reading",
    "SensorPlan",
    "SensorSet",
    "Sensors",
    "SoundPattern",
    "ThermistorCalibration",
    "open_board",
    "open_sensors",
    "read_plan",
    "read_plan_file",
]

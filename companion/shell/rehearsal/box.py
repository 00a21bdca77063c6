"""A box that exists only in memory: the real panel and sensor code on simulated pins.

The simulated unit's gauges become volts at the simulated converter, and a text line of
the scale; everything from there on is the code that runs in a real box. Buttons are
pressed by pulling their pin low. Faults are put on wires, not into the program.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from companion.shell.arrivals import Arrival, Sensed
from companion.shell.rig.rig import Rig
from companion.shell.rig.spec import Gauges
from hardware import (
    Button,
    Channel,
    Panel,
    PressureCalibration,
    Reading,
    SensorSet,
    ThermistorCalibration,
    open_board,
    pins,
    read_plan,
)
from hardware.ports import Fault
from hardware.scale import ScaleSetting, read_line
from hardware.transducers import DIVIDER, REFERENCE_V

WireFault = Literal["open", "short", "freeze", "jump", "gone"]
"""A broken lead, one that touches its supply, a signal that stands still, one that is
30 psi or 15 K off from one moment to the next, and a converter that answers no more."""

_PLAN = """
[sensors.suction-pressure]
kind = "pressure"
input = 0
full_scale_psi = 500
band_percent = 0.5
calibrated = 2000-01-01
[sensors.liquid-pressure]
kind = "pressure"
input = 1
full_scale_psi = 800
band_percent = 0.5
calibrated = 2000-01-01
[sensors.suction-line-temperature]
kind = "thermistor"
input = 2
points = [[0.0, 32650.0], [25.0, 10000.0], [60.0, 2488.0]]
calibrated = 2000-01-01
[sensors.liquid-line-temperature]
kind = "thermistor"
input = 3
points = [[0.0, 32650.0], [25.0, 10000.0], [60.0, 2488.0]]
calibrated = 2000-01-01
[sensors.outdoor-temperature]
kind = "thermistor"
input = 4
points = [[0.0, 32650.0], [25.0, 10000.0], [60.0, 2488.0]]
calibrated = 2000-01-01
[sensors.cylinder-weight]
kind = "scale"
calibrated = 2000-01-01
"""
_RAIL_V = 5.0
_NOISE = {"psig": 0.25, "C": 0.04}
_STILL_KG = 0.003
"""A load that moved less than this since the last line is at rest for the scale."""


@dataclass(slots=True, kw_only=True)
class _Shown:
    """What a wire carries now, and the fault that was put on it."""

    volts: float = 0.0
    fault: WireFault | None = None


class SimulatedScale:
    """Gives the line a scale would send, read as from a real one."""

    def __init__(self, setting: ScaleSetting) -> None:
        self._setting = setting
        self._kg = 0.0
        self.connected = True
        self._rest = True

    def load(self, kg: float) -> None:
        """Put a load on it."""
        self._rest = abs(kg - self._kg) < _STILL_KG
        self._kg = kg

    def read(self) -> Reading | Fault:
        """Read its line."""
        name = self._setting.name
        text = f"{'S' if self._rest else 'U'} {self._kg:.3f} kg"
        found = read_line(text, self._setting) if self.connected else None
        if found is None:
            return Fault(channel=name, name="gone", message=f"{name}: sends nothing")
        return found

    def close(self) -> None:
        """Do nothing."""


class SimulatedBox:
    """Panel and sensors of a box beside a simulated unit.

    Attributes
    ----------
    arrivals
        What its buttons have reported and nobody has taken yet.
    """

    def __init__(self, *, seed: int) -> None:
        self._chance = np.random.default_rng(seed)
        self._board = open_board("simulated")
        self._factory = self._board.factory
        self.arrivals: list[Arrival] = []
        self.panel: Panel = self._board.panel(self.arrivals.append)
        self._plan = read_plan(_PLAN)
        self._wires = {each.name: _Shown() for each in self._plan.channels}
        setting = self._plan.scale or ScaleSetting(name="cylinder-weight")
        self._scale = SimulatedScale(setting)
        converter = self._board.sensors(
            self._plan.channels,
            supply_number=self._plan.supply_input,
            bits=self._plan.bits,
        )
        self._sensors = SensorSet(
            names=tuple(self._plan.dates),
            converter=converter,
            on_converter=tuple(self._wires),
            singles=(self._scale,),
        )

    @property
    def names(self) -> tuple[str, ...]:
        """Readings that its sensors give."""
        return self._sensors.names

    def press(self, button: Button) -> None:
        """Press a button and let go."""
        pin = self._factory.pin(pins.BUTTONS[button])
        pin.drive_low()
        pin.drive_high()

    def damage(self, reading: str, fault: WireFault | None) -> None:
        """Put a fault on the wire of a reading, or mend it; ``gone`` is for all."""
        if reading in self._wires:
            self._wires[reading].fault = fault
            self._factory.answering = fault != "gone"
        else:
            self._scale.connected = fault is None

    def sample(self, rig: Rig, now: float) -> Sensed:
        """Let the wires carry what the unit shows, and read them."""
        gauges = rig.gauges()
        for channel in self._plan.channels:
            self._carry(channel, gauges)
        rail_v = _RAIL_V * DIVIDER + self._chance.normal(0, 0.0005)
        self._factory.volts[self._plan.supply_input] = rail_v
        self._scale.load(gauges.scale_oz * 0.028_349_523_125)
        return Sensed(at=now, found=self._sensors.read(now))

    def _carry(self, channel: Channel, gauges: Gauges) -> None:
        wire = self._wires[channel.name]
        if wire.fault != "freeze":
            wire.volts = self._volts(channel, gauges, jump=wire.fault == "jump")
        short = (
            REFERENCE_V if isinstance(channel.calibration, PressureCalibration) else 0.0
        )
        match wire.fault:
            case "open":
                volts = REFERENCE_V - short
            case "short":
                volts = short
            case _:
                volts = wire.volts
        self._factory.volts[channel.number] = volts

    def _volts(self, channel: Channel, gauges: Gauges, *, jump: bool) -> float:
        match channel.calibration:
            case PressureCalibration() as pressure:
                psi = {
                    "suction-pressure": gauges.suction_psig,
                    "liquid-pressure": gauges.liquid_psig,
                }[channel.name]
                psi += self._chance.normal(0, _NOISE["psig"]) + (30.0 if jump else 0.0)
                span = pressure.full_share - pressure.zero_share
                share = pressure.zero_share + psi / pressure.full_scale_psi * span
                return share * _RAIL_V * DIVIDER
            case ThermistorCalibration() as thermistor:
                f = {
                    "suction-line-temperature": gauges.suction_line_f,
                    "liquid-line-temperature": gauges.liquid_line_f,
                    "outdoor-temperature": gauges.outdoor_f,
                }[channel.name]
                celsius = (f - 32) / 1.8 + (15.0 if jump else 0.0)
                celsius += self._chance.normal(0, _NOISE["C"])
                ohm = thermistor.ohm(celsius)
                return REFERENCE_V * ohm / (ohm + thermistor.fixed_ohm)

    def close(self) -> None:
        """Let the pins go."""
        self._sensors.close()
        self._board.close()

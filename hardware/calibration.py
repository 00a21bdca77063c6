"""The sensors' file, ``sensors.toml``: what is wired where, and when it was calibrated.

Each sensor is a table of its own kind under its reading's name; see ``WIRING.md`` for
an example and the procedure. An unknown key is refused, and so is a calibration that
has no date: a value nobody can date is not one to charge by.
"""

import datetime
import re
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from hardware.converter import Channel, check_channels
from hardware.one_wire import Probe
from hardware.ports import HardwareError
from hardware.scale import PATTERN, ScaleSetting
from hardware.transducers import (
    Calibration,
    PressureCalibration,
    ThermistorCalibration,
)

NAMES = (
    "suction-pressure",
    "liquid-pressure",
    "suction-line-temperature",
    "liquid-line-temperature",
    "outdoor-temperature",
    "cylinder-weight",
)
"""Every reading a sensor can give."""
GOOD_FOR_DAYS = 365
"""A calibration older than this is named at each start. Our own value."""


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Pressure(_Table):
    kind: Literal["pressure"]
    input: int = Field(ge=0, le=7)
    full_scale_psi: float
    band_percent: float = Field(default=1.0, gt=0, lt=10)
    offset_psi: float = Field(default=0.0, ge=-25, le=25)
    calibrated: datetime.date


class _Thermistor(_Table):
    kind: Literal["thermistor"]
    input: int = Field(ge=0, le=7)
    ohm_at_25_c: float | None = None
    beta_k: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    fixed_ohm: float = 10_000.0
    contact_k: float = Field(default=0.2, ge=0, le=3)
    lowest_c: float = -30.0
    highest_c: float = 90.0
    calibrated: datetime.date

    @model_validator(mode="after")
    def _one_way(self) -> "_Thermistor":
        sheet = self.ohm_at_25_c is not None and self.beta_k is not None
        if sheet == bool(self.points):
            raise ValueError("give either three points, or ohm_at_25_c and beta_k")
        return self


class _Digital(_Table):
    kind: Literal["digital"]
    id: str = Field(pattern=r"^[0-9a-f]{2}-[0-9a-f]{8,16}$")
    calibrated: datetime.date


class _Scale(_Table):
    kind: Literal["scale"]
    port: str = "/dev/scale"
    baud: int = Field(default=9600, ge=300, le=921_600)
    pattern: str = PATTERN
    at_rest: str = "S"
    step_g: float = Field(default=10.0, gt=0)
    error_g: float = Field(default=20.0, gt=0)
    calibrated: datetime.date


_Sensor = Annotated[
    _Pressure | _Thermistor | _Digital | _Scale, Field(discriminator="kind")
]


class _File(_Table):
    bits: Literal[10, 12] = 12
    supply_input: int = Field(default=7, ge=0, le=7)
    sensors: dict[str, _Sensor]


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorPlan:
    """Everything that is wired, ready to be opened.

    ``dates`` says when each sensor was last calibrated.
    """

    bits: Literal[10, 12] = 12
    supply_input: int = 7
    channels: tuple[Channel, ...] = ()
    probes: tuple[Probe, ...] = ()
    scale: ScaleSetting | None = None
    dates: dict[str, datetime.date]

    def overdue(self, today: datetime.date) -> tuple[str, ...]:
        """Name the sensors whose calibration is old."""
        limit = datetime.timedelta(days=GOOD_FOR_DAYS)
        return tuple(name for name, on in self.dates.items() if today - on > limit)


def read_plan(text: str, where: str = "sensors.toml") -> SensorPlan:
    """Read and check the text of a sensors' file.

    Raises
    ------
    HardwareError
        If it cannot be used; every fault is named.
    """
    try:
        found = _File.model_validate(tomllib.loads(text))
        plan = _plan(found)
        check_channels(plan.channels, plan.supply_input)
    except ValidationError as trouble:
        faults = "; ".join(
            f"{'.'.join(str(part) for part in fault['loc'])}: {fault['msg']}"
            for fault in trouble.errors()
        )
        raise HardwareError(f"{where}: {faults}") from trouble
    except (tomllib.TOMLDecodeError, ValueError, re.error) as trouble:
        raise HardwareError(f"{where}: {trouble}") from trouble
    return plan


def read_plan_file(path: Path) -> SensorPlan:
    """Read a sensors' file.

    Raises
    ------
    HardwareError
        If it cannot be read or used.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as trouble:
        raise HardwareError(
            f"the sensors' file {path} cannot be read ({trouble}); correct the setting "
            "'sensors', or leave it out to work without sensors"
        ) from trouble
    return read_plan(text, str(path))


def _plan(found: _File) -> SensorPlan:
    unknown = sorted(set(found.sensors) - set(NAMES))
    if unknown:
        raise ValueError(
            f"no reading is called {', '.join(unknown)}; known: {', '.join(NAMES)}"
        )
    plan = SensorPlan(
        bits=found.bits,
        supply_input=found.supply_input,
        dates={name: each.calibrated for name, each in found.sensors.items()},
    )
    for name, each in found.sensors.items():
        plan = _with(plan, name, each)
    return plan


def _with(plan: SensorPlan, name: str, each: _Sensor) -> SensorPlan:
    _check_kind(name, each)
    match each:
        case _Pressure() | _Thermistor():
            channel = Channel(
                name=name, number=each.input, calibration=_calibration(each)
            )
            return replace(plan, channels=(*plan.channels, channel))
        case _Digital():
            return replace(plan, probes=(*plan.probes, Probe(name=name, id=each.id)))
        case _Scale():
            re.compile(each.pattern)
            setting = ScaleSetting(
                name=name,
                port=each.port,
                baud=each.baud,
                pattern=each.pattern,
                at_rest=each.at_rest,
                step_kg=each.step_g / 1000,
                error_kg=each.error_g / 1000,
            )
            return replace(plan, scale=setting)


def _check_kind(name: str, each: _Sensor) -> None:
    due = {"pressure": "pressure", "temperature": "thermistor", "weight": "scale"}
    wanted = due[name.rpartition("-")[2]]
    kind = "thermistor" if each.kind == "digital" else each.kind
    if kind != wanted:
        raise ValueError(f"{name} cannot be measured by a sensor of kind {each.kind}")


def _calibration(each: _Pressure | _Thermistor) -> Calibration:
    if isinstance(each, _Pressure):
        return PressureCalibration(
            full_scale_psi=each.full_scale_psi,
            offset_psi=each.offset_psi,
            band_share=each.band_percent / 100,
        )
    if each.points:
        made = ThermistorCalibration.from_points(*each.points)
    else:
        made = ThermistorCalibration.from_beta(
            ohm_at_25_c=each.ohm_at_25_c or 0.0,
            beta_k=each.beta_k or 0.0,
            lowest_c=each.lowest_c,
            highest_c=each.highest_c,
        )
    return replace(made, fixed_ohm=each.fixed_ohm, contact_k=each.contact_k)

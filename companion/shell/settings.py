"""The technician's settings file, ``companion.toml``: checked, frozen, explained.

Every key has a default, so the file may be missing or empty. An unknown key is refused
with the nearest known one, because a misspelt setting that is ignored is a trap.
"""

import difflib
import tomllib
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from companion.knowledge.quantities import (
    AbsolutePressure,
    Length,
    parse_quantity,
    standard_atmosphere,
)
from companion.shell.errors import SettingsError
from companion.shell.personal import LEAST_RATE, MOST_RATE, VOICES, Personal
from companion.shell.verbosity import Digits, Speaking, Verbosity
from speech import LanguageId

FILE = "companion.toml"


class Settings(BaseModel):
    """How this companion is set up.

    Attributes
    ----------
    technician
        Who works, for the record; may be a number or a short name.
    units
        ``us`` (psi, Fahrenheit, ounces) or ``si`` (bar, Celsius, kilograms).
    altitude
        Height of the site, with its unit, for the air pressure.
    local_pressure
        Air pressure at the site, absolute, with its unit; overrides ``altitude``.
    engine
        Which recogniser; ``auto`` takes Vosk where its model folder is found.
    model_folder
        Folder of a Vosk model.
    microphone, speaker
        Part of the sound card's name; empty for the system's default.
    rate
        Speaking rate in words a minute.
    board
        Buttons and lamps: ``auto``, ``real`` or ``simulated``.
    sensors
        The sensors' file, see ``hardware/WIRING.md``; empty for no sensors.
    van
        Whether ignition sense and backup power are wired.
    folder
        Where jobs are kept.
    language
        ``en`` or ``es``: what is said, printed and understood.
    voice, pitch
        A voice file of the synthesiser, empty for the language's own; pitch 0 to 100.
    verbosity, digits, say_units
        How much is spoken, and how; see :mod:`companion.shell.verbosity`.
    technicians
        A table per technician; that of ``technician`` counts before all of these.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    technician: str = ""
    units: Literal["us", "si"] = "us"
    altitude: str = "0ft"
    local_pressure: str = ""
    engine: Literal["auto", "vosk", "pocketsphinx"] = "auto"
    model_folder: str = ""
    microphone: str = ""
    speaker: str = ""
    rate: int = Field(default=165, ge=LEAST_RATE, le=MOST_RATE)
    board: Literal["auto", "real", "simulated"] = "auto"
    sensors: str = ""
    van: bool = False
    folder: str = ""
    language: LanguageId = "en"
    voice: str = ""
    pitch: int = Field(default=50, ge=0, le=100)
    verbosity: Verbosity = "full"
    digits: Digits = "singly"
    say_units: bool = True
    technicians: dict[str, Personal] = Field(default_factory=dict)

    @field_validator("altitude")
    @classmethod
    def _is_a_height(cls, text: str) -> str:
        height = parse_quantity(text)
        if not isinstance(height, Length):
            raise ValueError(  # noqa: TRY004 - pydantic reports only ValueError
                "is not a height; write for example 1200ft or 370m"
            )
        standard_atmosphere(height)
        return text

    @field_validator("local_pressure")
    @classmethod
    def _is_absolute(cls, text: str) -> str:
        if text and not isinstance(parse_quantity(text), AbsolutePressure):
            raise ValueError("is not an absolute pressure; write for example 84kPa")
        return text

    @property
    def speaking(self) -> Speaking:
        """How sentences are spoken."""
        return Speaking(
            verbosity=self.verbosity, digits=self.digits, units=self.say_units
        )

    @property
    def voice_name(self) -> str:
        """The synthesiser's voice: the one chosen, or the language's own."""
        return self.voice or VOICES[self.language]

    @property
    def ambient(self) -> AbsolutePressure:
        """The air pressure at the site."""
        if self.local_pressure:
            given = parse_quantity(self.local_pressure)
            if isinstance(given, AbsolutePressure):
                return given
        height = parse_quantity(self.altitude)
        if not isinstance(height, Length):
            raise SettingsError(f"the altitude {self.altitude!r} is not a height")
        return standard_atmosphere(height)


def read_settings(path: Path | None, technician: str = "") -> Settings:
    """Read a settings file; no path, or no file at the default place, gives defaults.

    What the technician chose for themselves is put in place. ``technician`` names one
    other than the file does.

    Raises
    ------
    SettingsError
        If the file cannot be read or used; every fault is named with its cure.
    """
    if path is None:
        path = Path(FILE)
        if not path.is_file():
            return personal(Settings(), technician)
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as trouble:
        raise SettingsError(
            f"The settings file {path} cannot be read ({trouble.strerror}); correct the "
            "path after --settings or leave it out"
        ) from trouble
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as trouble:
        raise SettingsError(f"{path}: not a TOML file: {trouble}") from trouble
    try:
        return personal(Settings.model_validate(values), technician)
    except ValidationError as trouble:
        faults = "; ".join(_explained(fault) for fault in trouble.errors())
        raise SettingsError(f"{path}: {faults}") from trouble


def personal(settings: Settings, technician: str = "") -> Settings:
    """Put what a technician chose in place of the general settings.

    Raises
    ------
    SettingsError
        If one is named who has no table, though others have.
    """
    name = technician or settings.technician
    settings = settings.model_copy(update={"technician": name})
    own = settings.technicians.get(name)
    if own is not None:
        return settings.model_copy(update=own.chosen())
    if technician and settings.technicians:
        known = ", ".join(settings.technicians)
        raise SettingsError(
            f"there is no table [technicians.{technician}]; there is: {known}"
        )
    return settings


def _explained(fault: object) -> str:
    if not isinstance(fault, dict):
        return str(fault)
    key = ".".join(str(part) for part in fault["loc"])
    if fault["type"] == "extra_forbidden":
        inner = len(fault["loc"]) > 1
        fields = Personal.model_fields if inner else Settings.model_fields
        near = difflib.get_close_matches(str(fault["loc"][-1]), fields, n=1)
        hint = f"did you mean {near[0]}?" if near else ""
        known = ", ".join(fields)
        return f"the key {key} is not known; {hint or f'known: {known}'}"
    return f"{key}: {fault['msg'].removeprefix('Value error, ')}"

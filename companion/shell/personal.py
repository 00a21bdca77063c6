"""What one technician chose for themselves: a table per name in the settings file.

``technician = "ana"`` with a table ``[technicians.ana]`` makes the values of that table
count in place of the general ones, so that a van shared by several speaks to each in
their own language and manner.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from companion.shell.verbosity import Digits, Verbosity
from speech import LanguageId

VOICES: dict[LanguageId, str] = {"en": "en-us", "es": "es-419"}
"""The voice of each language where none is chosen."""

LEAST_RATE, MOST_RATE = 80, 300
"""Bounds of the speaking rate [words a minute]."""


class Personal(BaseModel):
    """Settings that may differ from technician to technician; see ``Settings``.

    A key that is left out is taken from the general settings.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    language: LanguageId | None = None
    units: Literal["us", "si"] | None = None
    model_folder: str | None = None
    microphone: str | None = None
    speaker: str | None = None
    voice: str | None = None
    rate: int | None = Field(default=None, ge=LEAST_RATE, le=MOST_RATE)
    pitch: int | None = Field(default=None, ge=0, le=100)
    verbosity: Verbosity | None = None
    digits: Digits | None = None
    say_units: bool | None = None

    def chosen(self) -> dict[str, object]:
        """Give the keys that were chosen, with their values."""
        return {
            key: value for key, value in self.model_dump().items() if value is not None
        }
